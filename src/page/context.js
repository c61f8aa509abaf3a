// What a source's shots inherit from now on: who hits, with what, from where.

import { act, at, readTagged } from "./api.js";

/** Where a source's context stands. */
export function contextOf(source) {
  return at("sources", source, "context");
}

/** Puts what `change` makes of a context in its place, unless somebody else changes it meanwhile. */
export async function changeContext(source, change) {
  const { document: { as_of: _asOf, ...now }, tag } = await readTagged(contextOf(source));
  await act("PUT", contextOf(source), change(now), { tag });
}
