// Answers that no shot changes, such as names: remembered until news of them comes or somebody looks again.

import { ask } from "./api.js";

/** By path: the answer, and what it told; null where it failed, nothing while it is waited for. */
const remembered = new Map();

/** Asks once, until it is forgotten. */
export function askOnce(path) {
  const before = remembered.get(path);
  return before && before.told !== null ? before.answer : askAnew(path);
}

/** Asks now, and remembers that. */
export function askAnew(path) {
  const entry = { answer: ask(path), told: undefined };
  remembered.set(path, entry);
  entry.answer.then((told) => {
    entry.told = told;
  }, () => {
    entry.told = null;
  });
  return entry.answer;
}

/** What a path told; null where it failed, nothing where it is not remembered. */
export function recalled(path) {
  return remembered.get(path)?.told;
}

/** Has all of it be asked anew. */
export function forget() {
  remembered.clear();
}

/** Asks all of it anew, since nothing tells of it; whether any has changed. */
export async function lookAgain() {
  const changes = await Promise.all([...remembered].map(async ([path, before]) => {
    let told;
    try {
      told = await ask(path);
    } catch (problem) {
      // A service that is away has changed nothing.
      if (!problem.status) return false;
      told = null;
    }
    if (remembered.get(path) !== before || before.told === undefined || isSame(before.told, told)) return false;
    remembered.set(path, { answer: Promise.resolve(told), told });
    return true;
  }));
  return changes.includes(true);
}

/** Whether two answers say the same, whenever they said it. */
function isSame(one, other) {
  const said = (answer) => JSON.stringify(answer && { ...answer, as_of: null });
  return said(one) === said(other);
}
