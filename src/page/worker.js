// One stream for all tabs, since a browser allows six connections to a host.

import { listen } from "./stream.js";

const tabs = new Set();

function tellAll(news) {
  for (const tab of tabs) tab.postMessage(news);
}

addEventListener("connect", (event) => {
  const [tab] = event.ports;
  tabs.add(tab);
  tab.addEventListener("message", ({ data }) => {
    if (data === "closed") tabs.delete(tab);
    else tellAll(data);
  });
  tab.start();
  tab.postMessage({ listening: true });
});

listen(tellAll);
