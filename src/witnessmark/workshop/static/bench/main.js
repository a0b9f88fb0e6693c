/** The bench: drawn on the phone from pack and log. */

const bench = document.getElementById("bench");
if (bench) bench.dataset.ready = "";
