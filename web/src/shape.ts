// What the stage is drawn with: motions, meshes as the program sends them, marks and hatching.
import { BufferAttribute, BufferGeometry, CanvasTexture, Matrix4, RepeatWrapping, Sprite, SpriteMaterial, Vector3 } from "three";
import { computeBoundsTree } from "three-mesh-bvh";
import type { Travel } from "./wire";

/** motion is the matrix of one travel at a value. */
export function motion(k: Travel, value: number): Matrix4 {
  const dir = new Vector3(...k.dir);
  if (k.kind === "slide") return new Matrix4().setPosition(dir.multiplyScalar(value));
  const p = new Vector3(...k.point_mm);
  const m = new Matrix4().setPosition(p.clone().addScaledVector(dir, (k.lead_mm * value) / 360));
  return m.multiply(new Matrix4().makeRotationAxis(dir, (value * Math.PI) / 180)).multiply(new Matrix4().setPosition(p.negate()));
}

/** ring is a mark that is seen through everything, light on dark so that it shows on any colour. */
export function ring(): Sprite {
  const c = document.createElement("canvas");
  c.width = c.height = 96;
  const g = c.getContext("2d");
  for (const [color, width] of [["#14171b", 14], ["#fffdf7", 6]] as const) {
    if (!g) break;
    g.strokeStyle = color;
    g.lineWidth = width;
    g.beginPath();
    g.arc(48, 48, 36, 0, 2 * Math.PI);
    g.stroke();
  }
  const s = new Sprite(new SpriteMaterial({ map: new CanvasTexture(c), depthTest: false, depthWrite: false }));
  s.renderOrder = 1000;
  s.visible = false;
  return s;
}

/** hatch fills section faces: the part's colour with lines, each part at its own slant. */
export function hatch(color: string, i: number): CanvasTexture {
  const c = document.createElement("canvas");
  c.width = c.height = 64;
  const g = c.getContext("2d");
  if (g) {
    g.fillStyle = color;
    g.fillRect(0, 0, 64, 64);
    g.strokeStyle = "rgba(10,12,14,0.75)";
    g.lineWidth = 5;
    for (let k = -64; k <= 64; k += 32) {
      g.beginPath();
      if (i % 2 === 0) {
        g.moveTo(k, 0);
        g.lineTo(k + 64, 64);
      } else {
        g.moveTo(k + 64, 0);
        g.lineTo(k, 64);
      }
      g.stroke();
    }
  }
  const t = new CanvasTexture(c);
  t.wrapS = t.wrapT = RepeatWrapping;
  return t;
}

/** unpack reads a mesh as the program sends it. */
export function unpack(raw: ArrayBuffer): BufferGeometry {
  const [nv = 0, nt = 0] = new Uint32Array(raw, 0, 2);
  const g = new BufferGeometry();
  g.setAttribute("position", new BufferAttribute(new Float32Array(raw, 8, 3 * nv), 3));
  g.setIndex(new BufferAttribute(new Uint32Array(raw, 8 + 12 * nv, 3 * nt), 1));
  if (nt > 0) {
    g.computeBoundsTree = computeBoundsTree;
    g.computeBoundsTree();
  }
  return g;
}

