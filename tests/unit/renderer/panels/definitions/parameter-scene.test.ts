import { describe, expect, it } from 'vitest';
import { DEFAULT_PARAMETERS } from '../../../../../core/model/parameters.ts';
import { explainedKeys } from '../../../../../renderer/panels/definitions/parameter-catalog.ts';
import { SCENE_HEIGHT, SCENE_WIDTH, sceneOf, spanTextX, type Shape } from '../../../../../renderer/panels/definitions/pictures/parameter-scene.ts';
import { parametersWith } from '../../../../builders/parameters.ts';

const KEYS = explainedKeys().filter((key): key is Exclude<keyof typeof DEFAULT_PARAMETERS, 'name'> => key !== 'name' && key in DEFAULT_PARAMETERS);

function extentOf(shape: Shape): { readonly xs: number[]; readonly ys: number[] } {
  switch (shape.kind) {
    case 'signal':
    case 'region':
      return { xs: shape.points.map(([x]) => x), ys: shape.points.map(([, y]) => y) };
    case 'loss':
    case 'span':
      return { xs: [shape.x1, shape.x2], ys: [] };
    case 'level':
      return { xs: [], ys: [shape.y] };
    case 'mark':
      return { xs: [shape.x], ys: [] };
    case 'text':
      // Letters are about 5.2 units wide at this size.
      return { xs: [shape.x, shape.x + shape.text.length * 5.2], ys: [shape.y] };
  }
}

describe('the picture of a parameter', () => {
  it.each(KEYS)('%s is drawn inside its frame', (key) => {
    const shapes = sceneOf(key, DEFAULT_PARAMETERS);
    expect(shapes.length).toBeGreaterThan(1);
    for (const shape of shapes) {
      const { xs, ys } = extentOf(shape);
      for (const x of xs) expect(x, JSON.stringify(shape)).toBeGreaterThanOrEqual(0);
      for (const x of xs) expect(x, JSON.stringify(shape)).toBeLessThanOrEqual(SCENE_WIDTH);
      for (const y of ys) expect(y, JSON.stringify(shape)).toBeGreaterThanOrEqual(0);
      for (const y of ys) expect(y, JSON.stringify(shape)).toBeLessThanOrEqual(SCENE_HEIGHT);
    }
  });

  it('has the value in force written in', () => {
    const words = (seconds: number): string => JSON.stringify(sceneOf('minDurationS', parametersWith({ minDurationS: seconds })));
    expect(words(30)).toContain('"30 s"');
    expect(words(180)).toContain('"3 min"');
  });

  it('keeps the words of a span inside the picture', () => {
    for (const [x1, x2] of [[0, 10], [230, 240], [100, 120]] as const) {
      const at = spanTextX(x1, x2, 'twenty letters or so');
      expect(at - 20 * 2.6).toBeGreaterThanOrEqual(0);
      expect(at + 20 * 2.6).toBeLessThanOrEqual(SCENE_WIDTH);
    }
  });
});
