// What players and clubs are called.

import { at, Problem } from "./api.js";
import { askOnce, recalled } from "./memory.js";

/** A player's clubs, and what each is called: its name, with the id where two have the same. */
export async function clubsOf(player) {
  const { items } = await askOnce(at("players", player, "clubs"));
  return {
    items,
    called(id) {
      const club = items.find((one) => one.id === id);
      if (!club) return id;
      const shared = items.some((one) => one.id !== id && one.name === club.name);
      return shared ? `${club.name} (${id})` : club.name;
    },
  };
}

/** What a player is called. */
export async function nameOf(player) {
  return (await askOnce(at("players", player))).name;
}

/** Whether a shot names a player, a club or a ball that is not among those that were told: it brings it. */
export function brings({ player, club, ball }) {
  const isNew = (path, id) => {
    const told = recalled(path);
    return Boolean(id) && told !== undefined && !told?.items.some((one) => one.id === id);
  };
  return isNew("/v1/players", player) || isNew("/v1/balls", ball) || (Boolean(player) && isNew(at("players", player, "clubs"), club));
}

/** Ids with what they are called, for a choice. */
export function choices(items, none) {
  const named = items.map((one) => [one.id, one.name === one.id ? one.id : `${one.name} (${one.id})`]);
  return none === undefined ? named : [["", none], ...named];
}

/** Has fields suggest the players and balls that are known, and the clubs of the player who stands in the first.
 *  Where nothing can be asked it is typed without. */
export async function suggest(player, club, ball) {
  try {
    const [players, balls] = await Promise.all([askOnce("/v1/players"), askOnce("/v1/balls")]);
    const ids = players.items.map((one) => one.id);
    player.offer(ids);
    ball.offer(balls.items.map((one) => one.id));
    const clubs = ids.includes(player.value) ? (await clubsOf(player.value)).items : [];
    club.offer(clubs.map((one) => one.id));
  } catch (problem) {
    if (!(problem instanceof Problem)) throw problem;
  }
}

/** What a form lets choose from: the player's clubs, and the balls. */
export async function toChooseFrom(player) {
  const [clubs, balls] = await Promise.all([clubsOf(player), askOnce("/v1/balls")]);
  const named = (items) => items.map(({ id, name }) => ({ id, name }));
  return { clubs: named(clubs.items), balls: named(balls.items) };
}
