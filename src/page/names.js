// What players and clubs are called.

import { ask, at } from "./api.js";

/** A player's clubs, and what each is called: its name, with the id where two have the same. */
export async function clubsOf(player) {
  const { items } = await ask(at("players", player, "clubs"));
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
  return (await ask(at("players", player))).name;
}

/** Ids with what they are called, for a choice. */
export function choices(items, none) {
  const named = items.map((one) => [one.id, one.name === one.id ? one.id : `${one.name} (${one.id})`]);
  return none === undefined ? named : [["", none], ...named];
}
