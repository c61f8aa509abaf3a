// What is new, as the service tells it: by its streams, else by asking now and then.

/** How often to ask where there is no stream, and how soon to try the stream again: milliseconds. */
const ASK_EVERY = 2_000;
const TRY_AGAIN = 60_000;

/** Calls `tell` with news (`follower.js`) of shots, and with `{}` when anything may have changed. */
export function listen(tell) {
  const anything = () => tell({});
  hold({
    stream: "/v1/live?kind=shot&kind=correction", instead: "/v1/shots?limit=1&order=newest",
    kinds: { shot: (text) => tell(subject(text)), correction: anything, reset: anything },
  }, anything);
}

/** Calls `tell` with `{player}` when the player's trials may have changed otherwise than by a shot: one was opened,
 *  paused, closed or named anew. Gives what ends it. */
export function listenToTrials(player, tell) {
  const name = encodeURIComponent(player);
  const states = new Map();
  return hold({
    stream: `/v1/live?player=${name}&kind=trial`, instead: `/v1/players/${name}/trials`,
    kinds: {
      trial(text) {
        const { id, state, name: called } = JSON.parse(text);
        const now = `${state} ${called}`;
        if (states.get(id) === now) return;
        states.set(id, now);
        tell({ player });
      },
    },
  }, () => tell({ player }));
}

/** Follows a stream; while the service refuses it, looks whether an answer has changed, and tries again. Calls
 *  `anything` when anything may have changed. Gives what ends it. */
function hold({ stream, instead, kinds }, anything) {
  let source;
  let asking;
  let trying;
  let asOf;

  function follow() {
    clearInterval(asking);
    source = new EventSource(stream);
    source.addEventListener("open", anything);
    for (const [kind, told] of Object.entries(kinds)) source.addEventListener(kind, ({ data }) => told(data));
    source.addEventListener("error", () => {
      // A broken connection is taken up again by the browser; a refusal is not.
      if (source.readyState !== EventSource.CLOSED) return;
      look();
      asking = setInterval(look, ASK_EVERY);
      trying = setTimeout(follow, TRY_AGAIN);
    });
  }

  async function look() {
    try {
      const answer = await (await fetch(instead)).json();
      if (answer.as_of !== asOf) anything();
      asOf = answer.as_of;
    } catch {
      // The service is away: the next look tells.
    }
  }

  follow();
  return () => {
    clearInterval(asking);
    clearTimeout(trying);
    source.close();
  };
}

/** Where a shot was hit, whose it is, with what, and whether it waits for a player or a club. */
function subject(text) {
  const { player = null, club = null, ball = null, event } = JSON.parse(text);
  return { source: event.source, player, club, ball, waits: player === null || club === null };
}
