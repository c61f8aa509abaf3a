// The bay of a trial: the last ball, and whether balls that name no club are booked to the one that is to be hit.

import { maybe } from "./api.js";
import { changeContext, contextOf } from "./context.js";
import { el } from "./dom.js";
import { figure, member, readers, since } from "./figures.js";
import { deed } from "./form.js";
import { changed } from "./live.js";
import { askAnew, askOnce } from "./memory.js";
import { newest } from "./shots.js";

/** What a player's last ball was, where it came from, and `booking`: the source that would book the next ball to
 *  another club than the one whose turn it is, if it would. `trial` is the trial's answer, which may still be waited for. */
export async function bayOf(player, trial) {
  const [[last = null], sources, { opened, state, hitting_order: { next } }] = await Promise.all([
    newest({ player }, 1), askOnce("/v1/sources"), trial,
  ]);
  const named = (id) => sources.items.find((one) => one.id === id)?.name ?? id;
  const isPlayed = last !== null && last.sequence > opened;
  const found = state !== "open" || !next ? null
    : await (isPlayed ? bookingOf(last.event.source, last) : bookingBefore(player, sources.items));
  const isWrong = found?.context?.player === player && found.context.club !== next.club && !found.last?.event.club;
  return {
    last, from: last && named(last.event.source),
    booking: isWrong ? { source: found.source, name: named(found.source), club: found.context.club ?? null, turn: next.club } : null,
  };
}

/** What a source books to, and the last that it sent: where shots name their club, the context does not matter. */
async function bookingOf(source, last) {
  return { source, last, context: await maybe(askAnew(contextOf(source))) };
}

/** The same before a ball of the trial has told where the player stands: of the source where they were set last. */
async function bookingBefore(player, sources) {
  const contexts = await Promise.all(sources.map(async ({ id }) => ({ source: id, context: await maybe(askOnce(contextOf(id))) })));
  const [here] = contexts.filter(({ context }) => context?.player === player).sort((one, other) => other.context.as_of - one.context.as_of);
  if (!here) return null;
  const [last] = await newest({ source: here.source }, 1);
  return { ...here, last };
}

/** What is wrong with the booking, in words. */
export function misbooked({ name, club }, called) {
  return club ? `${name} books what comes to the ${called(club)}.` : `${name} is set to no club: what comes there waits.`;
}

/** The last ball; above it what is wrong with the booking, with what mends it. */
export function bay(player, { last, from, booking }, called) {
  return [booking && warning(player, booking, called), last && lastBall(last, from, called)];
}

function warning(player, booking, called) {
  const club = called(booking.turn);
  return el("div", { class: "question", id: "booking" }, el("p", { class: "lead" }, misbooked(booking, called)),
    el("p", { class: "acts" }, deed(`Book to the ${club}`, async () => {
      await changeContext(booking.source, (now) => {
        if (now.player !== player) throw new Error(`Somebody else is set at ${booking.name} now.`);
        return { ...now, club: booking.turn };
      });
      changed();
      return `${booking.name} books what comes to the ${club}.`;
    }, { "data-key": "booking" })));
}

function lastBall({ event, club, set_aside: aside }, from, called) {
  const [carry, length] = readers(...member(event.flight, "carry"));
  const said = [club ? called(club) : "it waits for a club", carry && figure(carry, length), `from ${from}`, aside && "set aside"];
  return el("p", { id: "last-ball", class: "lead" }, `Last ball: ${said.filter(Boolean).join(", ")}, `, since(event.time), ".");
}
