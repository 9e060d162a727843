// The workshop's memory: trials of this design.
import type { Stage } from "./wire";

export class Workshop {
  design(_: Stage): void {}
  read(): void {}
}
