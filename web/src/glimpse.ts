// The first move of the way, shown once and taken back when a box is opened: what the
// verdict says is seen without being read. Whoever does anything ends it.
import { calm } from "./dom";
import type { Play } from "./play";
import { follow, pace } from "./situation";
import type { Pose } from "./wire";

/** How long the move is shown, then held, and then taken back, ms; however short it is, it must be seen. */
const shown = { there: 1100, held: 800, back: 700 };

/** glimpse shows the frames of a move from where everything stands, and goes back; nothing of it is played. */
export async function glimpse(play: Play, frames: Pose[], words: string): Promise<void> {
  const { stage, now, view } = play;
  if (!stage || !now || play.made.length > 0 || play.playing || frames.length === 0 || calm() || document.hidden) return;
  let over = false;
  const stop = () => {
    if (over) return;
    over = true;
    for (const kind of ["pointerdown", "keydown"]) removeEventListener(kind, stop, true);
    document.body.dataset["glimpse"] = "";
    if (play.now === now && play.stage === stage) view.pose(now);
    if (under.textContent === words) play.say("", true);
  };
  for (const kind of ["pointerdown", "keydown"]) addEventListener(kind, stop, true);
  document.body.dataset["glimpse"] = "1";
  const under = document.getElementById("under") as HTMLElement;
  play.say(words, true);
  const path = follow(stage, now, frames);
  const there = path.reduce((sum, to, i) => sum + pace(stage, path[i - 1] ?? now, to), 0);
  try {
    await view.glide(path, shown.there / there, now);
    if (over || view.shown !== path.at(-1)) return; // something else is shown
    await new Promise((done) => setTimeout(done, shown.held));
    if (!over && view.shown === path.at(-1)) await view.glide([now], shown.back / pace(stage, path.at(-1) ?? now, now));
  } finally {
    stop();
  }
}
