// Forms: labelled fields, and refusals in words at the field that they name.

import { inWords } from "./api.js";
import { el, tell } from "./dom.js";

let made = 0;

/** A field. `name` is its name in what is sent; `place` the pointer or parameter that refusals name. */
export function field({ name, label, hint, place, options, suggestions, input = {}, value }) {
  made += 1;
  const id = `field-${made}`;
  const fault = el("p", { id: `${id}-fault`, class: "fault", hidden: true });
  const about = [hint ? `${id}-hint` : null, `${id}-fault`].filter(Boolean).join(" ");
  const common = { id, name, "aria-describedby": about, ...input };
  const control = options
    ? el("select", common, options.map(([text, said, group]) => (group ? grouped(text, said) : choice(text, said))))
    : el("input", { type: "text", autocomplete: "off", ...common, list: suggestions ? `${id}-list` : null });
  const isBox = control.type === "checkbox";
  if (isBox) control.checked = value === "true";
  else if (value !== undefined && value !== null) control.value = value;
  const row = el("div", { class: "field" },
    el("label", { for: id }, label), control,
    suggestions ? el("datalist", { id: `${id}-list` }, suggestions.map((one) => el("option", { value: one }))) : null,
    hint ? el("p", { id: `${id}-hint`, class: "hint" }, hint) : null, fault);
  return {
    name, control, row, place: place ?? name,
    /** What is typed or chosen; of a box `true` where it is ticked. */
    get value() {
      if (isBox) return control.checked ? "true" : "";
      return control.value.trim();
    },
    /** Suggests these values from now on; of a choice, lets them be chosen: what was chosen stays so if it can. */
    offer(values) {
      if (!options) return row.querySelector("datalist").replaceChildren(...values.map((one) => el("option", { value: one })));
      const chosen = control.value;
      control.replaceChildren(...values.map(([text, said]) => choice(text, said)));
      if (values.some(([text]) => text === chosen)) control.value = chosen;
    },
    /** Says what is wrong with it, or that nothing is. */
    blame(text) {
      fault.hidden = !text;
      fault.textContent = text ?? "";
      control.toggleAttribute("aria-invalid", Boolean(text));
      if (text) control.setAttribute("aria-invalid", "true");
    },
  };
}

/** A typed number, with a point or a comma before its decimals. What is none is given back as it was typed, for the
 *  service to refuse in words; so is a comma that may stand between thousands, since nobody guesses which it is. */
export function numberOf(text) {
  const plain = text.replace("−", "-");
  const thousands = /^[-+]?\d{1,3}(,\d{3})+$/.test(plain);
  const number = /^[-+]?(\d+([.,]\d*)?|[.,]\d+)$/.test(plain);
  return number && !thousands ? Number(plain.replace(",", ".")) : text;
}

function choice(value, text) {
  return el("option", { value }, text);
}

function grouped(label, options) {
  return el("optgroup", { label }, options.map(([value, text]) => choice(value, text)));
}

/** A form of fields and of what else stands in it; `inner` are fields that stand within something else.
 *  `submit` acts; what it is refused for is shown at the fields, the rest above the button. */
export function form({ fields, inner = [], button, submit, beside = [], label }) {
  const summary = el("div", { class: "trouble", role: "alert", hidden: true });
  const send = el("button", { type: "submit" }, button);
  const whole = el("form", { novalidate: true, "aria-label": label },
    gathered(fields), summary, el("p", { class: "acts" }, send, beside));
  const fieldsOnly = [...fields.filter((one) => one.blame), ...inner];
  whole.addEventListener("submit", async (event) => {
    event.preventDefault();
    clear(fieldsOnly, summary);
    send.disabled = true;
    try {
      await submit(whole);
    } catch (problem) {
      blame(problem, fieldsOnly, summary);
    } finally {
      send.disabled = false;
    }
  });
  return whole;
}

/** Makes a form, `{element, offer}`, at the first call and offers what is known at each: news leaves what is typed in it. */
export function madeOnce(make) {
  let made;
  return (known) => {
    made ??= make(known);
    made.offer(known);
    return made.element;
  };
}

/** Fields that follow one another stand side by side where there is room. */
function gathered(fields) {
  const groups = [];
  for (const one of fields) {
    const last = groups.at(-1);
    if (!one.row) groups.push(one);
    else if (Array.isArray(last)) last.push(one.row);
    else groups.push([one.row]);
  }
  return groups.map((group) => (Array.isArray(group) ? el("div", { class: "fields" }, group) : group));
}

function clear(fields, summary) {
  fields.forEach((one) => one.blame(null));
  summary.hidden = true;
  summary.replaceChildren();
}

function blame(problem, fields, summary) {
  const { first, rest } = placed(problem, fields);
  if (first && !rest.length) return;
  summary.hidden = false;
  summary.append(el("p", problem.message), rest.length ? el("ul", rest.map((text) => el("li", text))) : "");
}

/** Says each fault at the field that it names, and goes to the first; the other faults are given back. */
function placed(problem, fields) {
  const rest = [];
  let first = null;
  for (const fault of problem.faults ?? []) {
    const named = (fault.pointer ?? "").replace(/^\//, "") || fault.parameter;
    const found = fields.find((one) => [one.place].flat().includes(named));
    if (found) {
      found.blame(inWords(fault));
      first ??= found.control;
    } else {
      rest.push(inWords(fault));
    }
  }
  if (first?.closest("details")) first.closest("details").open = true;
  first?.focus();
  return { first, rest };
}

/** A button that acts at once. What comes of it is told; a refusal stands beside it, or at the field that it names. */
export function deed(text, run, attributes = {}, fields = []) {
  const fault = el("span", { class: "fault", role: "alert" });
  const button = el("button", { type: "button", ...attributes }, text);
  button.addEventListener("click", async () => {
    fault.textContent = "";
    fields.forEach((one) => one.blame(null));
    button.disabled = true;
    try {
      const done = await run();
      if (done) tell(done);
    } catch (problem) {
      const { first, rest } = placed(problem, fields);
      fault.textContent = first && !rest.length ? "See what is marked." : [problem.message, ...rest].join(" ");
    } finally {
      button.disabled = false;
    }
  });
  return [button, fault];
}
