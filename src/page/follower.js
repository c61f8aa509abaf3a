// What follows the answers: asked anew when news concerns it, never twice at once, and no oftener than is of use.

/** The least time from one round of questions to the next, and that of what takes the service longer: milliseconds. */
const PACE = 400;
export const SLOW = 2_000;

/** How far beyond the window something counts as seen. */
const NEAR = "200px";

const followers = new WeakMap();
const watcher = new IntersectionObserver((entries) => {
  for (const { target, isIntersecting } of entries) followers.get(target)?.sighted(isIntersecting);
}, { rootMargin: NEAR });

/** News is what the stream tells: `{source, player, club, ball, waits}` of a shot, which may lack names; `{player}` where
 *  anything of a player may have changed, `{}` where anything may. `concerned` says which is of interest, `pace` how often to ask; what is followed only
 *  `whenSeen` asks when it comes into view. */
export class Follower {
  #concerned;
  #whenSeen;
  #seen = true;
  #stale = false;
  #again;

  constructor(element, { concerned = () => true, pace = PACE, whenSeen = false } = {}) {
    this.element = element;
    this.#concerned = concerned;
    this.#whenSeen = whenSeen;
    this.#again = paced(() => this.ask(), pace);
    if (!whenSeen) return;
    followers.set(element, this);
    watcher.observe(element);
  }

  /** Asks anew now. */
  refresh() {
    this.#stale = false;
    return this.#again();
  }

  /** Asks anew if that is of interest here: at once, or when it is seen again. */
  hear(news) {
    if (!this.#concerned(news)) return;
    // What is hidden cannot come into view by itself.
    if (this.#whenSeen && !this.#seen && !this.element.hidden) this.#stale = true;
    else this.refresh();
  }

  /** It came into view, or left it. */
  sighted(seen) {
    this.#seen = seen;
    if (seen && this.#stale) this.refresh();
  }

  /** It is not shown any more. */
  leave() {
    watcher.unobserve(this.element);
  }
}

/** Of interest where anything may have changed: no shot alone changes it. */
export const beyondShots = (news) => !news.source;

/** Runs something at most once in a while, never twice at once, and once more where it was asked meanwhile. What
 *  fails is told to the console and ends nothing. */
function paced(run, pace) {
  let running = false;
  let again = false;
  return async function start() {
    if (running) {
      again = true;
      return;
    }
    running = true;
    do {
      again = false;
      try {
        await run();
      } catch (problem) {
        reportError(problem);
      }
      await new Promise((resume) => setTimeout(resume, pace));
    } while (again);
    running = false;
  };
}
