// While only some parts move, the rest is drawn once and kept, with its depths: drawing by
// software costs by the triangle, and a hand moves few of them.
import {
  AlwaysDepth, DepthStencilFormat, DepthTexture, Mesh, NearestFilter, NoBlending, type Object3D, OrthographicCamera, type PerspectiveCamera, PlaneGeometry,
  Scene, ShaderMaterial, SRGBColorSpace, UnsignedInt248Type, Vector2, type WebGLRenderer, WebGLRenderTarget,
} from "three";

/** Moving is what the layers need to know of a thing that may move. */
export type Moving = Object3D[];

export class Layers {
  private still: WebGLRenderTarget | null = null;
  private apart = new Set<number>(); // what the kept picture is without
  private epoch = -1; // of which it is
  private readonly paper = new Scene();
  private readonly eye = new OrthographicCamera(-1, 1, 1, -1, 0, 1);
  private readonly print = new ShaderMaterial({
    uniforms: { color: { value: null }, depth: { value: null } }, blending: NoBlending, depthFunc: AlwaysDepth, toneMapped: false,
    vertexShader: "varying vec2 at; void main() { at = uv; gl_Position = vec4(position.xy, 0.0, 1.0); }",
    fragmentShader: "uniform sampler2D color; uniform sampler2D depth; varying vec2 at; void main() { gl_FragColor = texture2D(color, at); gl_FragDepth = texture2D(depth, at).r; }",
  });

  constructor(
    private readonly renderer: WebGLRenderer,
    private readonly scene: Scene,
    private readonly camera: PerspectiveCamera,
  ) {
    const sheet = new Mesh(new PlaneGeometry(2, 2), this.print);
    sheet.frustumCulled = false;
    this.paper.add(sheet);
  }

  /** whole draws all of the scene with smooth rims. */
  whole(): void {
    this.epoch = -1;
    this.keep([]);
    this.renderer.render(this.paper, this.eye);
  }

  /**
   * draw draws the scene of which all is as it was in this epoch but the moved of the things; others is what else there
   * is to be drawn, none of it moves.
   */
  draw(epoch: number, moved: Set<number>, things: Moving[], others: Object3D[]): void {
    const r = this.renderer;
    if (this.epoch !== epoch || !this.fits() || [...moved].some((i) => !this.apart.has(i))) {
      this.apart = new Set([...(this.epoch === epoch ? this.apart : []), ...moved]);
      this.epoch = epoch;
      this.keep(things.filter((_, i) => this.apart.has(i)).flat());
    }
    r.autoClear = false;
    r.clear();
    r.render(this.paper, this.eye);
    this.without([...things.filter((_, i) => !this.apart.has(i)).flat(), ...others], () => r.render(this.scene, this.camera));
    r.autoClear = true;
  }

  /** keep draws the scene without some things, to be printed. */
  private keep(but: Object3D[]): void {
    const r = this.renderer;
    r.setRenderTarget(this.target());
    r.clear();
    this.without(but, () => r.render(this.scene, this.camera));
    r.setRenderTarget(null);
  }

  /** without hides things while something is done. */
  private without(things: Object3D[], what: () => void): void {
    const seen = things.filter((o) => o.visible);
    for (const o of seen) o.visible = false;
    what();
    for (const o of seen) o.visible = true;
  }

  /** fits tells whether what is kept is as large as the picture. */
  private fits(): boolean {
    const { x, y } = this.renderer.getDrawingBufferSize(new Vector2());
    return this.still?.width === x && this.still.height === y;
  }

  private target(): WebGLRenderTarget {
    if (this.still && this.fits()) return this.still;
    const { x, y } = this.renderer.getDrawingBufferSize(new Vector2());
    this.still?.depthTexture?.dispose();
    this.still?.dispose();
    const t = new WebGLRenderTarget(x, y, { samples: 4, stencilBuffer: true, minFilter: NearestFilter, magFilter: NearestFilter, colorSpace: SRGBColorSpace });
    t.texture.internalFormat = "RGBA8"; // as the screen has it
    t.depthTexture = new DepthTexture(x, y, UnsignedInt248Type);
    t.depthTexture.format = DepthStencilFormat;
    // drawn with the colours of the screen, by the same programs, so that nothing is compiled anew
    Object.assign(t, { isXRRenderTarget: true });
    this.still = t;
    this.print.uniforms["color"] = { value: t.texture };
    this.print.uniforms["depth"] = { value: t.depthTexture };
    return t;
  }
}
