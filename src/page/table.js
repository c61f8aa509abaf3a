// A table of shots: dropped, told column by column, looked at, kept, and taken back as one act.

import { act, ask, at, inWords, Problem, sendText } from "./api.js";
import { firstRows, likelyDelimiter, members, TIMES } from "./columns.js";
import { LIES } from "./brief.js";
import { el, table, tell } from "./dom.js";
import { figure } from "./figures.js";
import { field, form } from "./form.js";
import { changed } from "./live.js";
import { takeBack } from "./sources.js";
import { to } from "./route.js";

/** How much of a file is looked at before it is sent: characters. */
const PEEK = 256 * 1024;
/** Rows of the dry run. */
const REHEARSED = 200;
/** Texts of a column of clubs that can be given other names. */
const NAMED = 40;

export function fromTable() {
  const after = el("div");
  const drop = dropField(async (file) => {
    after.replaceChildren(...(await mapping(file)));
    after.querySelector("h2").focus();
  });
  return {
    title: "A table of shots", parts: [],
    body: [el("p", "A CSV file with a header. Nothing is guessed: you say what each column is, and in which unit, and see the first rows before anything is kept."), drop, after],
  };
}

function dropField(take) {
  const choose = el("input", { type: "file", id: "file", accept: ".csv,.txt,text/csv" });
  choose.addEventListener("change", () => choose.files[0] && take(choose.files[0]));
  const zone = el("div", { class: "drop" }, el("label", { for: "file" }, "Choose a file, or drop it here"), choose);
  zone.addEventListener("dragover", (event) => {
    event.preventDefault();
    zone.classList.add("over");
  });
  zone.addEventListener("dragleave", () => zone.classList.remove("over"));
  zone.addEventListener("drop", (event) => {
    event.preventDefault();
    zone.classList.remove("over");
    if (event.dataTransfer.files[0]) take(event.dataTransfer.files[0]);
  });
  return zone;
}

/** The beginning of a file up to the end of a row. */
function whole(file, text) {
  return file.size > PEEK ? text.slice(0, text.lastIndexOf("\n") + 1) : text;
}

/** The form that says what is in the columns of a file. */
async function mapping(file) {
  const text = whole(file, (await file.slice(0, PEEK).text()).replace(/^\uFEFF/, ""));
  const options = await members();
  const delimiter = field({ name: "delimiter", label: "Between cells", options: [[",", "comma"], [";", "semicolon"], ["\t", "tab"]], value: likelyDelimiter(text) });
  const decimal = field({ name: "decimal_mark", label: "Before decimals", options: [[".", "point"], [",", "comma"]], value: delimiter.value === ";" ? "," : "." });
  const stem = file.name.replace(/\.[^.]*$/, "").replace(/\s+/g, "-").toLowerCase().slice(0, 60) || "table";
  const source = field({
    name: "source", place: "set/source", label: "Call this import", value: `${stem}-${new Date().toISOString().slice(0, 16).replace(/[:T]/g, "-")}`,
    hint: "It becomes a source of its own, so that it can be taken back as a whole.",
  });
  const form_ = field({ name: "format", place: ["time/format", "time/columns"], label: "The time is written as", options: TIMES });
  const zone = field({ name: "zone", place: "time/zone", label: "in the time zone", value: Intl.DateTimeFormat().resolvedOptions().timeZone });
  const player = field({ name: "player", place: "set/player", label: "Player of all rows", hint: "Where no column says it." });
  const lie = field({ name: "lie", place: "set/lie", label: "Lie of all rows", options: LIES });
  const ball = field({ name: "ball", place: "set/ball", label: "Ball of all rows" });
  const columns = el("div");
  let cells = [];
  const lay = () => {
    const [header = [], ...rows] = firstRows(text, delimiter.value, REHEARSED + 1);
    cells = header.map((name, at) => column(name, rows.map((row) => row[at] ?? ""), options));
    columns.replaceChildren(el("div", { class: "fields" }, cells.map((one) => one.element)));
  };
  delimiter.control.addEventListener("change", lay);
  lay();
  const result = el("div");
  const document_ = () => documentOf({ cells, delimiter, decimal, source, format: form_, zone, set: [player, lie, ball] });
  const told = form({
    fields: [delimiter, decimal, columns, form_, zone, player, lie, ball, source], button: "Look at the first rows", label: "What the columns are",
    async submit() {
      result.replaceChildren();
      const id = source.value;
      if (await isOthers(id)) {
        source.blame("Something else is called so already: give it another name, so that it can be taken back as a whole.");
        return source.control.focus();
      }
      await act("PUT", at("csv-mappings", id), document_());
      const lines = text.split("\n").slice(0, REHEARSED + 1).join("\n");
      const seen = await sendText("/v1/shots", { mapping: id, dry_run: true }, ["text/csv", lines]);
      result.replaceChildren(...rehearsed(seen, () => bring(file, id, result)));
      result.querySelector("h2").focus();
    },
  });
  return [el("h2", { tabindex: -1 }, `What is in ${file.name}?`), told, result];
}

/** Whether a source of this name is there that is no table of its own. */
async function isOthers(id) {
  const [sources, mappings] = await Promise.all([ask("/v1/sources"), ask("/v1/csv-mappings")]);
  return sources.items.some((one) => one.id === id) && !mappings.items.some((one) => one.id === id && one.set?.source === id);
}

/** One column: what it is, its first cells, and for a column of clubs what each text stands for. */
function column(name, texts, options) {
  const known = options.flatMap(([value, , group]) => (group ? [] : [value]));
  const members_ = options.filter(([, , group]) => group).flatMap(([, inner]) => inner.map(([value]) => value));
  const same = members_.find((value) => value.split("/").at(-1) === name.trim());
  const examples = [...new Set(texts.filter((text) => text.trim() !== ""))];
  const what = field({
    name, place: [`columns/${name.trim()}`, `values/${name.trim()}`], label: name || "(without a name)", value: same ?? known[0],
    options: options.map(([value, text, group]) => [value, text, group]), hint: examples.length ? `Such as ${examples.slice(0, 3).join(", ")}` : "It is empty.",
  });
  const others = el("div", { class: "others" });
  let named = [];
  const offer = () => {
    named = ["/club", "/player", "/lie", "/ball"].includes(what.value)
      ? examples.slice(0, NAMED).map((text) => [text, field({ name: text, label: `“${text.trim()}” is`, value: text.trim() })]) : [];
    others.replaceChildren(...named.map(([, one]) => one.row));
  };
  what.control.addEventListener("change", () => {
    what.blame(null);
    offer();
  });
  offer();
  return {
    name: name.trim(), element: el("div", what.row, others), blame: what.blame, control: what.control,
    get member() {
      return what.value;
    },
    /** What its texts stand for, where any stands for something else. */
    get values() {
      const pairs = named.map(([text, one]) => [text.trim(), one.value]);
      return pairs.some(([text, value]) => text !== value) ? Object.fromEntries(pairs) : null;
    },
  };
}

/** The mapping as the service takes it. */
function documentOf({ cells, delimiter, decimal, source, format, zone, set }) {
  const undecided = cells.filter((one) => one.member === "");
  if (undecided.length) {
    undecided.forEach((one) => one.blame("Say what it is, or leave it out."));
    undecided[0].control.focus();
    throw new Problem(0, { detail: `Nothing is guessed: say what ${undecided.length === 1 ? "one more column is" : `${undecided.length} more columns are`}.` });
  }
  cells.forEach((one) => one.blame(null));
  const times = cells.filter((one) => one.member === "time").map((one) => one.name);
  const members_ = cells.filter((one) => one.member.startsWith("/"));
  const columns = Object.fromEntries(members_.map((one) => [one.name, one.member]));
  const found = {
    name: source.value, delimiter: delimiter.value, decimal_mark: decimal.value, columns,
    ignored: cells.filter((one) => one.member === "-").map((one) => one.name),
    set: { source: source.value, ...Object.fromEntries(set.filter((one) => one.value).map((one) => [one.name, one.value])) },
  };
  if (format.value) found.time = { columns: times, format: format.value, zone: zone.value };
  else if (times.length) columns[times[0]] = "/time";
  const values = Object.fromEntries(cells.filter((one) => one.values).map((one) => [one.name, one.values]));
  if (Object.keys(values).length) found.values = values;
  if (!Object.values(columns).includes("/id")) found.row_id = { prefix: source.value, row: true };
  return found;
}

/** What the first rows would become, and the way on. */
function rehearsed(seen, bring_) {
  const rows = seen.events.slice(0, 10).map(({ line, event }) => [
    String(line), event.time, [event.player, event.club].filter(Boolean).join(", ") || "unassigned",
    ["launch", "flight", "clubhead"].flatMap((object) => Object.entries(event[object] ?? {}))
      .map(([name, value]) => (typeof value === "number" ? `${name.replace(/_[a-z]+$/, "").replaceAll("_", " ")} ${figure(name, value)}` : `${value}`)).join(", "),
  ]);
  const faults = seen.refusals.slice(0, 10).map(({ line, errors }) => el("li", `Row ${line}: ${errors.map(inWords).join(" ")}`));
  const go = el("button", { type: "button", on: { click: bring_ } }, "Keep the whole file");
  return [
    el("h2", { tabindex: -1 }, "The first rows, as they would be kept"),
    el("p", `Of ${seen.rows} rows ${seen.rows - seen.refused} would be taken and ${seen.refused} refused. Nothing is kept yet.`),
    rows.length ? table("As events", ["Row", "Hit", "Who, with what", "Figures"], rows) : null,
    faults.length ? el("div", { class: "trouble" }, el("p", "Refused:"), el("ul", faults)) : null,
    el("p", { class: "acts" }, go),
  ].filter(Boolean);
}

/** Sends the file, and tells how far it is. */
function bring(file, id, result) {
  const bar = el("progress", { max: 1, value: 0, "aria-label": "How much is sent" });
  const told = el("p", { role: "status" }, "It is being sent.");
  result.replaceChildren(el("h2", { tabindex: -1 }, "Keeping the file"), bar, told);
  // fetch cannot tell how far a body is.
  const request = new XMLHttpRequest();
  request.open("POST", `/v1/shots?mapping=${encodeURIComponent(id)}`);
  request.setRequestHeader("Content-Type", "text/csv");
  request.responseType = "json";
  request.upload.addEventListener("progress", ({ loaded, total }) => {
    bar.value = total ? loaded / total : 0;
  });
  const over = () => {
    bar.remove();
    finished(request, id, told, result);
  };
  request.addEventListener("load", over);
  request.addEventListener("error", over);
  request.send(file);
}

function finished({ status, response }, id, told, result) {
  const answer = response ?? {};
  if (status !== 200) {
    told.textContent = `It broke off: ${answer.detail ?? "the service cannot be reached"}. What was taken so far stays; the same file can be sent again, and nothing is stored twice.`;
  } else {
    told.textContent = `${answer.accepted} shots are kept, ${answer.duplicates} had been kept before, ${answer.refused} rows were refused.`;
  }
  tell(told.textContent);
  const faults = (answer.refusals ?? []).slice(0, 20).map(({ line, errors }) => el("li", `Row ${line}: ${errors.map(inWords).join(" ")}`));
  result.append(...(faults.length ? [el("ul", faults)] : []),
    el("p", el("a", { href: to([]) }, "All players"), " ", el("a", { href: to(["sources"]) }, "Sources")),
    el("h2", "Was that wrong?"), ...takeBack(id).flat(2));
  changed();
}
