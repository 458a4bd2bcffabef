import { exportPicture, svgText } from '../../renderer/charts/export-picture.ts';
import { pngOf } from '../../renderer/charts/paint-picture.ts';
import { drawPicture } from '../../renderer/charts/plot-svg.ts';
import { SAMPLE_CHARTS } from '../builders/sample-charts.ts';

/* A page that draws every kind of picture, served under the page's own policy. */
const refused: string[] = [];
document.addEventListener('securitypolicyviolation', (event) => refused.push(`${event.violatedDirective} ${event.blockedURI}`));

const chartPage = {
  refused,
  names: Object.keys(SAMPLE_CHARTS),
  draw(name: string, width: number): void {
    const chart = SAMPLE_CHARTS[name];
    if (chart === undefined) throw new Error(name);
    document.body.replaceChildren(drawPicture(chart(width), name));
  },
  async png(name: string): Promise<{ readonly width: number; readonly height: number; readonly inkedShare: number; readonly type: string }> {
    const chart = SAMPLE_CHARTS[name];
    if (chart === undefined) throw new Error(name);
    const blob = await pngOf(exportPicture(chart, { title: name, description: 'What it shows.', notes: ['A note.'] }), 2);
    const bitmap = await createImageBitmap(blob);
    const canvas = new OffscreenCanvas(bitmap.width, bitmap.height);
    const context = canvas.getContext('2d');
    if (context === null) throw new Error('no canvas');
    context.drawImage(bitmap, 0, 0);
    const { data } = context.getImageData(0, 0, bitmap.width, bitmap.height);
    let inked = 0;
    for (let i = 0; i < data.length; i += 4) if (data[i] !== data[0] || data[i + 1] !== data[1] || data[i + 2] !== data[2]) inked += 1;
    return { width: bitmap.width, height: bitmap.height, inkedShare: inked / (data.length / 4), type: blob.type };
  },
  svg: (name: string): string => svgText(exportPicture(SAMPLE_CHARTS[name] ?? (() => { throw new Error(name); }), { title: name, description: 'What it shows.', notes: ['A note.'] })),
};
export type ChartPage = typeof chartPage;
Object.assign(window, { chartPage });
