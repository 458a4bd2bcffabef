/** One thing that was drawn on a canvas, in CSS px from its top left corner. */
export interface Drawn {
  readonly op: 'text' | 'box' | 'edge' | 'stroke' | 'fill';
  readonly leftPx: number;
  readonly topPx: number;
  readonly rightPx: number;
  readonly bottomPx: number;
  readonly text: string;
  readonly color: string;
}

interface Extent {
  minX: number;
  minY: number;
  maxX: number;
  maxY: number;
}

const EMPTY = (): Extent => ({ minX: Infinity, minY: Infinity, maxX: -Infinity, maxY: -Infinity });

function stretch(extent: Extent, x: number, y: number): void {
  if (x < extent.minX) extent.minX = x;
  if (x > extent.maxX) extent.maxX = x;
  if (y < extent.minY) extent.minY = y;
  if (y > extent.maxY) extent.maxY = y;
}

/** How far a path reaches, by what its segments name: curves count by their ends, arcs by their circle. */
const pathExtents = new WeakMap<Path2D, Extent>();
const current = new WeakMap<CanvasRenderingContext2D, Extent>();
const records = new WeakMap<HTMLCanvasElement, Drawn[]>();

/** Returns what was drawn on a canvas since it was last cleared as a whole. */
export function drawnOn(canvas: HTMLCanvasElement): readonly Drawn[] {
  return records.get(canvas) ?? [];
}

/** The segments that place a point, by how their arguments are to be read. */
const POINTS: Readonly<Record<string, (args: readonly number[]) => readonly (readonly [number, number])[]>> = {
  moveTo: ([x = 0, y = 0]) => [[x, y]],
  lineTo: ([x = 0, y = 0]) => [[x, y]],
  bezierCurveTo: ([, , , , x = 0, y = 0]) => [[x, y]],
  quadraticCurveTo: ([, , x = 0, y = 0]) => [[x, y]],
  rect: ([x = 0, y = 0, w = 0, h = 0]) => [[x, y], [x + w, y + h]],
  arc: ([x = 0, y = 0, r = 0]) => [[x - r, y - r], [x + r, y + r]],
};

/** Makes every canvas of the page keep what is drawn on it. To be called once, before anything is drawn. */
export function recordCanvases(): void {
  const proto = CanvasRenderingContext2D.prototype;
  const wrap = (target: object, name: string, before: (self: never, args: readonly unknown[]) => void): void => {
    const own: unknown = Reflect.get(target, name);
    if (typeof own !== 'function') throw new Error(`no ${name} to record`);
    Reflect.set(target, name, function recorded(this: object, ...args: unknown[]): unknown {
      // The wrapped method is only ever called on what it belongs to.
      before(this as never, args);
      return Reflect.apply(own, this, args);
    });
  };
  const placed = (ctx: CanvasRenderingContext2D, x: number, y: number): readonly [number, number] => {
    const { a, b, c, d, e, f } = ctx.getTransform();
    const ratio = devicePixelRatio;
    return [(a * x + c * y + e) / ratio, (b * x + d * y + f) / ratio];
  };
  const keep = (ctx: CanvasRenderingContext2D, op: Drawn['op'], corners: readonly (readonly [number, number])[], text: string, color: unknown): void => {
    const canvas = ctx.canvas;
    const extent = EMPTY();
    for (const [x, y] of corners) stretch(extent, x, y);
    const [right, bottom] = [canvas.width / devicePixelRatio, canvas.height / devicePixelRatio];
    if (!(extent.maxX >= 0 && extent.minX <= right && extent.maxY >= 0 && extent.minY <= bottom)) return;
    const list = records.get(canvas) ?? [];
    records.set(canvas, list);
    list.push({ op, leftPx: Math.max(0, extent.minX), topPx: Math.max(0, extent.minY), rightPx: Math.min(right, extent.maxX), bottomPx: Math.min(bottom, extent.maxY), text, color: typeof color === 'string' ? color : 'pattern' });
  };
  const cornersOf = (ctx: CanvasRenderingContext2D, [x, y, w, h]: readonly unknown[]): (readonly [number, number])[] =>
    [[Number(x), Number(y)], [Number(x) + Number(w), Number(y)], [Number(x), Number(y) + Number(h)], [Number(x) + Number(w), Number(y) + Number(h)]].map(([px = 0, py = 0]) => placed(ctx, px, py));
  const ofExtent = ({ minX, minY, maxX, maxY }: Extent): (readonly [number, number])[] => (minX > maxX ? [] : [[minX, minY], [maxX, maxY]]);

  wrap(proto, 'beginPath', (ctx: CanvasRenderingContext2D) => current.set(ctx, EMPTY()));
  for (const [name, pointsOf] of Object.entries(POINTS)) {
    wrap(proto, name, (ctx: CanvasRenderingContext2D, args) => {
      const extent = current.get(ctx) ?? EMPTY();
      current.set(ctx, extent);
      for (const [x, y] of pointsOf(args.map(Number))) stretch(extent, ...placed(ctx, x, y));
    });
    wrap(Path2D.prototype, name, (path: Path2D, args) => {
      const extent = pathExtents.get(path) ?? EMPTY();
      pathExtents.set(path, extent);
      for (const [x, y] of pointsOf(args.map(Number))) stretch(extent, x, y);
    });
  }
  for (const op of ['stroke', 'fill'] as const) {
    wrap(proto, op, (ctx: CanvasRenderingContext2D, [path]) => {
      const color = op === 'stroke' ? ctx.strokeStyle : ctx.fillStyle;
      if (!(path instanceof Path2D)) {
        keep(ctx, op, ofExtent(current.get(ctx) ?? EMPTY()), '', color);
        return;
      }
      // A path made of text has no segments to record: a small shape about where the pencil stands.
      const extent = pathExtents.get(path) ?? { minX: 0, minY: 0, maxX: 0, maxY: 0 };
      keep(ctx, op, ofExtent(extent).map(([x, y]) => placed(ctx, x, y)), '', color);
    });
  }
  wrap(proto, 'fillRect', (ctx: CanvasRenderingContext2D, args) => keep(ctx, 'box', cornersOf(ctx, args), '', ctx.fillStyle));
  wrap(proto, 'strokeRect', (ctx: CanvasRenderingContext2D, args) => keep(ctx, 'edge', cornersOf(ctx, args), '', ctx.strokeStyle));
  wrap(proto, 'fillText', (ctx: CanvasRenderingContext2D, [text, x, y]) => {
    const widthPx = ctx.measureText(String(text)).width;
    const fromX = Number(x) - (ctx.textAlign === 'center' ? widthPx / 2 : ctx.textAlign === 'right' ? widthPx : 0);
    keep(ctx, 'text', [placed(ctx, fromX, Number(y)), placed(ctx, fromX + widthPx, Number(y))], String(text), ctx.fillStyle);
  });
  wrap(proto, 'clearRect', (ctx: CanvasRenderingContext2D, args) => {
    const [from = [0, 0], , , to = [0, 0]] = cornersOf(ctx, args);
    if (from[0] <= 0 && from[1] <= 0 && (to[0] + 1) * devicePixelRatio >= ctx.canvas.width && (to[1] + 1) * devicePixelRatio >= ctx.canvas.height) records.delete(ctx.canvas);
  });
}
