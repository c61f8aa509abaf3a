// What is new, as the service tells it: by its stream, else by asking now and then.

const STREAM = "/v1/live?kind=shot&kind=correction";
const NEWEST = "/v1/shots?limit=1&order=newest";
/** How often to ask where there is no stream, and how soon to try the stream again: milliseconds. */
const ASK_EVERY = 2_000;
const TRY_AGAIN = 60_000;

/** Calls `tell` with `{source, player, waits}` of a shot that came, with `{}` when anything may have changed. */
export function listen(tell) {
  let stream;
  let asking;
  let asOf;

  function follow() {
    stream = new EventSource(STREAM);
    stream.addEventListener("open", () => tell({}));
    stream.addEventListener("shot", (event) => tell(subject(event.data)));
    for (const kind of ["correction", "reset"]) stream.addEventListener(kind, () => tell({}));
    stream.addEventListener("error", () => {
      // A broken connection is taken up again by the browser; a refusal is not.
      if (stream.readyState !== EventSource.CLOSED) return;
      look();
      asking ??= setInterval(look, ASK_EVERY);
      setTimeout(again, TRY_AGAIN);
    });
  }

  function again() {
    clearInterval(asking);
    asking = undefined;
    follow();
  }

  async function look() {
    try {
      const answer = await (await fetch(NEWEST)).json();
      if (answer.as_of !== asOf) tell({});
      asOf = answer.as_of;
    } catch {
      // The service is away: the next look tells.
    }
  }

  follow();
}

/** Where a shot was hit, whose it is, and whether it waits for a player or a club. */
function subject(text) {
  const { player = null, club = null, event } = JSON.parse(text);
  return { source: event.source, player, waits: player === null || club === null };
}
