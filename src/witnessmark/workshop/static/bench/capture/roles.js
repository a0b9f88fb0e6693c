/**
 * What a joint carries, by the words of its name.
 *
 * A guess, shown and changed at a tap. It errs to the careful side: a joint that may kill an
 * engine or a person waits for the source of its figure.
 */

/** Words of names, each with the role of the rule book that it speaks of.
 * @type {[RegExp, string][]} */
const SPOKEN = [
  [/\b(?:seat ?belt|air ?bag|restraint)/, "restraint"],
  [/\b(?:wheel|lug) (?:nut|bolt|stud)s?\b|^wheels?\b|\bhub (?:nut|bolt)/, "wheel"],
  [/\b(?:brake|calliper|caliper|disc bolt|drum)\b/, "brake"],
  [/\b(?:steering|track rod|tie rod|rack (?:bolt|mount))/, "steering"],
  [/\b(?:suspension|strut|wishbone|ball joint|shock|damper (?:bolt|mount)|anti-?roll)/, "suspension"],
  [/\b(?:lifting|sling|tow(?:ing)?) (?:eye|hook|bolt)/, "lifting"],
  [/\b(?:cylinder )?head (?:bolt|stud|nut)|\bcylinder head\b/, "head"],
  [/\bmain (?:bearing|cap|bolt)/, "main"],
  [/\b(?:con(?:necting)?[- ]?rod|big end|rod (?:bolt|cap))/, "rod"],
  [/\bcam(?:shaft)? (?:bolt|cap|sprocket|pulley|gear)/, "cam"],
  [/\bcrank(?:shaft)?\b/, "crank"],
  [/\bflywheel\b/, "flywheel"],
  [/\bclutch\b/, "clutch"],
  [/\btensioner\b/, "tensioner"],
  [/\b(?:fuel rail|injector|high pressure|pressure (?:pipe|line|union)|gas (?:pipe|union))/, "pressure"],
  [/\bbracket\b/, "bracket"],
  [/\b(?:cover|panel|undertray|shield|grille|trim|cowl|guard)\b/, "cover"],
];

/** The role that a name speaks of; null where it speaks of none.
 * @param {string} name @returns {string | null} */
export function roleOf(name) {
  const low = name.toLowerCase();
  return SPOKEN.find(([words]) => words.test(low))?.[1] ?? null;
}

/** The roles that may be chosen, as people say them; the plain ones first. */
export const ROLES = [
  "cover", "bracket", "wheel", "brake", "steering", "suspension", "restraint", "lifting", "pressure",
  "head", "main", "rod", "cam", "crank", "flywheel", "clutch", "tensioner",
];

/** Whether a joint of this role waits for the source of its figure.
 * @param {import("../../ledger/state.js").JobState} state @param {string | null} role */
export const isCritical = (state, role) =>
  role !== null && state.book.rules.roles.critical.includes(role);
