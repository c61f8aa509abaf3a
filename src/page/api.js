// The public API: questions and acts, and problems in words.

import { metric } from "./figures.js";
import { search } from "./route.js";

/** A refusal, or a service that cannot be reached. */
export class Problem extends Error {
  constructor(status, body) {
    super(body.detail ?? body.title ?? `The service answered with status ${status}.`);
    this.status = status;
    /** Every fault with its place: `{pointer, parameter, detail}`. */
    this.faults = body.errors ?? [];
    this.body = body;
  }
}

/** A fault in words, with what it is about where its text goes on from that. */
export function inWords({ pointer = "", detail }) {
  const member = pointer.split("/").at(-1);
  return member && /^[a-z]/.test(detail) ? `${metric(member).label} ${detail}` : detail;
}

/** The path of a resource below `/v1`. */
export function at(...parts) {
  return `/v1${parts.map((part) => `/${encodeURIComponent(part)}`).join("")}`;
}

/** The address of a question. */
export function address(path, query = {}) {
  const asked = search(query);
  return asked ? `${path}?${asked}` : path;
}

/** Asks; the answer's JSON. */
export async function ask(path, query = {}) {
  return (await request(address(path, query), {})).json;
}

/** The answer, or `null` where there is nothing. */
export async function maybe(answer) {
  try {
    return await answer;
  } catch (problem) {
    if (problem.status === 404 || problem.status === 410) return null;
    throw problem;
  }
}

/** Reads a document to change it: itself and its tag. */
export async function readTagged(path) {
  const { json, answer } = await request(path, {});
  return { document: json, tag: answer.headers.get("ETag") };
}

/** Acts: sends JSON, only while nobody else has changed what has this tag, or only where nothing is yet. */
export async function act(method, path, body, { tag, fresh, query } = {}) {
  const headers = body === undefined ? {} : { "Content-Type": media(method) };
  if (tag) headers["If-Match"] = tag;
  if (fresh) headers["If-None-Match"] = "*";
  const sent = { method, headers, body: body === undefined ? undefined : JSON.stringify(body) };
  return (await request(address(path, query), sent)).json;
}

/** Sends a text of another type. */
export async function sendText(path, query, [type, text]) {
  const sent = { method: "POST", headers: { "Content-Type": type }, body: text };
  return (await request(address(path, query), sent)).json;
}

/** An answer of any type as it is. */
export async function fetched(path, accept) {
  return (await request(path, { headers: { Accept: accept } })).answer;
}

function media(method) {
  return method === "PATCH" ? "application/merge-patch+json" : "application/json";
}

async function request(path, sent) {
  let answer;
  try {
    answer = await fetch(path, sent);
  } catch {
    throw new Problem(0, { detail: "The service cannot be reached. Is it running? What was typed is still here." });
  }
  const type = answer.headers.get("Content-Type") ?? "";
  const json = type.includes("json") && !type.includes("ndjson") ? await answer.json() : null;
  if (!answer.ok) throw new Problem(answer.status, json ?? {});
  return { answer, json };
}
