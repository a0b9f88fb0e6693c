/**
 * The types of event this edition knows, and which of their fields must be filled.
 *
 * An event of another type, or of a newer version, is kept as it came; the job is then
 * read-only and its gates are shut until an edition that knows it has read it.
 */

/** The version of the event's form that this edition writes. */
export const VERSION = 1;

/** @type {Map<string, string[]>} by type, the fields that may be empty and it needs */
export const NEEDS = new Map([
  ["begin", ["pack"]],
  ["done", ["action"]],
  ["block", ["object"]],
  ["trouble", ["action"]],
  ["stopped", []],
  ["returned", []],
  ["gate", ["action"]],
  ["look", []],
  ["correct", []],
  ["settle", []],
  ["exception", []],
  ["duty", []],
  ["noted", ["object"]],
  ["put", []],
  ["found", []],
  ["measured", []],
  ["renewed", ["object"]],
  ["photo", []],
  ["rebase", ["pack"]],
  ["closed", []],
  ["reopened", []],
]);

/** Whether this edition knows what such an event means.
 * @param {string} type @param {number} version */
export const isKnown = (type, version) => version <= VERSION && NEEDS.has(type);
