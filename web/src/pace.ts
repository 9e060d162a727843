// How sharply the picture is drawn while something moves: as sharply as the machine still
// draws thirty pictures in a second. At rest it is always drawn as sharply as the screen is.

/** Sharpness is with how many dots to a pixel of the page a picture is drawn, and whether the rims of parts are smooth. */
export interface Sharpness {
  dots: number;
  smooth: boolean;
}

/** full is as sharp as the screen, and no more than twice as sharp as a plain one. */
export const full = (): Sharpness => ({ dots: Math.min(devicePixelRatio, 2), smooth: true });

/** steps go from sharp to coarse. */
const steps: (() => Sharpness)[] = [
  full, () => ({ dots: Math.min(devicePixelRatio, 1), smooth: false }), () => ({ dots: 0.75, smooth: false }), () => ({ dots: 0.55, smooth: false }),
];

/** What a picture may take on the mean for the next step down, and up, ms; of how many pictures the mean is. */
const slow = 30;
const quick = 17.5;
const few = 4;
const many = 45;

export class Pace {
  private sum = 0;
  private count = 0;
  private patience = many; // doubled by each step up that was one too many
  private up = false; // the last step went up

  constructor(private step: number) {}

  get sharpness(): Sharpness {
    return (steps[this.step] ?? full)();
  }

  /** took notes how long a picture was waited for, ms. */
  took(ms: number): void {
    this.sum += Math.min(ms, 500);
    this.count++;
    const mean = this.sum / this.count;
    if (this.count >= few && mean > slow && this.step < steps.length - 1) {
      if (this.up) this.patience *= 2;
      this.go(1);
    } else if (this.count >= this.patience && mean < quick && this.step > 0) this.go(-1);
    else if (this.count >= Math.max(few, this.patience)) this.sum = this.count = 0;
  }

  private go(by: number): void {
    this.step += by;
    this.up = by < 0;
    this.sum = this.count = 0;
  }
}

/** bySoftware tells whether a processor draws, not a graphics card. */
export function bySoftware(gl: WebGLRenderingContext | WebGL2RenderingContext): boolean {
  const told = gl.getExtension("WEBGL_debug_renderer_info");
  const name = String(gl.getParameter(told ? told.UNMASKED_RENDERER_WEBGL : gl.RENDERER));
  return /swiftshader|llvmpipe|softpipe|software|basic render/i.test(name);
}
