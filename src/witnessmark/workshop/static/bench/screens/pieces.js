/**
 * Bolt by bolt: only after a stop or trouble, or where they do not stand alike.
 *
 * @typedef {import("../router.js").Context} Context
 * @typedef {import("../doing/acts.js").Act} Act
 */

import { pieceState } from "../../ledger/standing.js";
import { pieceByPiece } from "../doing/trouble.js";
import { h } from "../dom.js";

/** @param {Context} context @param {Act} act @param {() => void} again
 * @returns {HTMLElement | null} */
export function pieceChooser(context, act, again) {
  const { state } = context.record;
  if (act.type === "block" || act.object === null || !pieceByPiece(state, act.object)) return null;
  const { object } = act;
  const row = /** @type {any} */ (state.book.objects.get(object));
  const flip = (/** @type {string} */ piece) => {
    const chosen = new Set(act.pieces);
    if (!chosen.delete(piece)) chosen.add(piece);
    context.session.chosen.set(object, [...chosen]);
    again();
  };
  const buttons = row.pieces.map((/** @type {any} */ piece) => h("button", {
    type: "button", class: "piece", "aria-pressed": String(act.pieces.includes(piece.id)),
    "data-key": `piece ${piece.id}`, onclick: () => flip(piece.id),
  }, h("b", {}, piece.id), h("small", {}, pieceState(state.book, state.standing, object, piece.id)),
  h("small", { class: "taken" }, act.pieces.includes(piece.id) ? "in this DONE" : "not now")));
  return h("fieldset", { class: "pieces" },
    h("legend", {}, "One by one, after a stop or trouble. DONE is for those pressed in."), ...buttons);
}
