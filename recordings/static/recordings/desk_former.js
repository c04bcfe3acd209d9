// The former take beside this one: one press changes between them, and the music goes on at the same bar.

export class FormerTake {
  constructor(button, player) {
    Object.assign(this, { button, player });
    this.bars = JSON.parse(document.getElementById("former-data").textContent);
    this.audio = document.getElementById("former-audio");
    button.hidden = false;
    button.addEventListener("click", () => this.change());
    player.addEventListener("own", () => this.isOn && this.change());
  }

  get isOn() {
    return this.player.audio === this.audio;
  }

  change() {
    const { player, audio, bars } = this;
    const on = !this.isOn;
    const heard = on ? { audio, bars } : player.own;
    player.use(heard, sameMoment(player.audio.currentTime, player.bars, heard.bars));
    this.button.setAttribute("aria-pressed", String(on));
  }
}

// As far into the same bar of the other take; where it has no such bar, that of another time, else its beginning.
export function sameMoment(seconds, here, there) {
  const bar = here.findLast((one) => one.start_s !== null && one.start_s <= seconds + 0.01);
  if (!bar) return Math.max(0, (there[0]?.start_s ?? 0) - ((here[0]?.start_s ?? 0) - seconds));
  const same = there.filter((one) => one.measure === bar.measure && one.start_s !== null);
  const found = same.find((one) => one.pass === bar.pass) ?? same[0];
  if (!found) return there[0]?.start_s ?? 0;
  const share = bar.end_s > bar.start_s ? Math.min((seconds - bar.start_s) / (bar.end_s - bar.start_s), 1) : 0;
  return found.start_s + Math.max(0, share) * (found.end_s - found.start_s);
}
