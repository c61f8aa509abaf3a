// Tells a place what is new.

import { listen } from "./stream.js";

/** How long a worker may take to answer: milliseconds. */
const PATIENCE = 3_000;

let post = () => {};

/** Calls `told` with news (`follower.js`). Tabs share one stream where they can. */
export function follow(told) {
  let alone = false;
  const onMyOwn = () => {
    if (alone) return;
    alone = true;
    listen(told);
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
  addEventListener("pagehide", (event) => {
    if (!event.persisted) worker.port.postMessage("closed");
  });
}

/** Has this tab's place, and the other tabs, ask anew. */
export function changed() {
  dispatchEvent(new Event("evencarry:changed"));
  post({});
}
