// Tells a place what is new.

import { listen, listenToTrials } from "./stream.js";

/** How long a worker may take to answer: milliseconds. */
const PATIENCE = 3_000;

let post = () => {};
/** Whose trials are told of, and how that is asked for. */
let watched = null;
let watch = () => {};

/** Calls `told` with news (`follower.js`). Tabs share their streams where they can. */
export function follow(told) {
  let alone = false;
  const onMyOwn = () => {
    if (alone) return;
    alone = true;
    listen(told);
    let end = () => {};
    watch = (player) => {
      end();
      end = player === null ? () => {} : listenToTrials(player, told);
    };
    watch(watched);
  };
  if (typeof SharedWorker === "undefined") return onMyOwn();
  let worker;
  try {
    worker = new SharedWorker("/page/worker.js", { name: "evencarry", type: "module" });
  } catch {
    // A browser that lets pages keep nothing may refuse it.
    return onMyOwn();
  }
  const late = setTimeout(onMyOwn, PATIENCE);
  worker.addEventListener("error", onMyOwn);
  worker.port.addEventListener("message", ({ data }) => {
    if (data.listening) clearTimeout(late);
    else if (!alone) told(data);
  });
  worker.port.start();
  post = (news) => worker.port.postMessage(news);
  watch = (player) => post({ trialsOf: player });
  watch(watched);
  addEventListener("pagehide", (event) => {
    if (!event.persisted) worker.port.postMessage("closed");
  });
}

/** Has this tab be told of a player's trials from now on; of nobody's with null. */
export function watchTrials(player) {
  if (player === watched) return;
  watched = player;
  watch(player);
}

/** Has this tab's place, and the other tabs, ask anew. */
export function changed() {
  dispatchEvent(new Event("evencarry:changed"));
  post({});
}
