// Streams for all tabs, since a browser allows six connections to a host.

import { listen, listenToTrials } from "./stream.js";

/** Each tab with the player whose trials it shows, if it shows any. */
const tabs = new Map();
/** What ends the stream of each such player. */
const trials = new Map();

function tellAll(news) {
  for (const tab of tabs.keys()) tab.postMessage(news);
}

function tellOfTrials(news) {
  for (const [tab, player] of tabs) if (player === news.player) tab.postMessage(news);
}

/** Holds a stream for each player whose trials some tab shows, and no other. */
function settle() {
  const wanted = new Set(tabs.values());
  wanted.delete(null);
  for (const [player, end] of trials) {
    if (wanted.has(player)) continue;
    end();
    trials.delete(player);
  }
  for (const player of wanted) if (!trials.has(player)) trials.set(player, listenToTrials(player, tellOfTrials));
}

function hear(tab, data) {
  if (data === "closed") tabs.delete(tab);
  else if ("trialsOf" in data) tabs.set(tab, data.trialsOf);
  else return tellAll(data);
  settle();
}

addEventListener("connect", (event) => {
  const [tab] = event.ports;
  tabs.set(tab, null);
  tab.addEventListener("message", ({ data }) => hear(tab, data));
  tab.start();
  tab.postMessage({ listening: true });
});

listen(tellAll);
