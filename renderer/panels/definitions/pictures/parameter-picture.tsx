import type { JSX } from 'react';
import type { AnalysisParameters } from '../../../../core/model/parameters.ts';
import { SCENE_HEIGHT, SCENE_WIDTH, sceneOf, spanTextX, type Shape } from './parameter-scene.ts';

export interface ParameterPictureProps {
  readonly parameterKey: Exclude<keyof AnalysisParameters, 'name'>;
  readonly parameters: AnalysisParameters;
}

/** Returns a small drawing of what a parameter does. The explanation beside it says the same in words, so it is hidden from screen readers. */
export function ParameterPicture({ parameterKey, parameters }: ParameterPictureProps): JSX.Element {
  return (
    <svg className="parameter-picture" viewBox={`0 0 ${SCENE_WIDTH} ${SCENE_HEIGHT}`} width={SCENE_WIDTH} height={SCENE_HEIGHT} aria-hidden="true" focusable="false">
      <defs>
        <pattern id="loss-hatch" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><path d="M0 0V5" className="pp-hatch" /></pattern>
      </defs>
      {sceneOf(parameterKey, parameters).map((shape, index) => <ShapeView key={index} shape={shape} />)}
    </svg>
  );
}

const pointsText = (points: readonly (readonly [number, number])[]): string => points.map(([x, y]) => `${x},${y}`).join(' ');

function ShapeView({ shape }: { readonly shape: Shape }): JSX.Element {
  switch (shape.kind) {
    case 'signal':
      return <polyline points={pointsText(shape.points)} className={`pp-signal pp-signal-${shape.look}`} />;
    case 'loss':
      return <rect x={shape.x1} y={18} width={shape.x2 - shape.x1} height={40} className={shape.kept ? 'pp-loss pp-loss-kept' : 'pp-loss'} />;
    case 'region':
      return <polygon points={pointsText(shape.points)} className="pp-region" />;
    case 'level':
      return (
        <>
          <path d={`M0 ${shape.y}H${SCENE_WIDTH}`} className="pp-level" />
          <text x={SCENE_WIDTH - 2} y={shape.y - 3} textAnchor="end" className="pp-text">{shape.text}</text>
        </>
      );
    case 'mark':
      return (
        <>
          <path d={`M${shape.x} 22V58M${shape.x - 4} 22h8l-4 6z`} className="pp-mark" />
          <text x={shape.x} y={16} textAnchor="middle" className="pp-text">{shape.text}</text>
        </>
      );
    case 'span':
      return (
        <>
          <path d={`M${shape.x1} 60V66H${shape.x2}V60`} className="pp-span" />
          <text x={spanTextX(shape.x1, shape.x2, shape.text)} y={78} textAnchor="middle" className="pp-text">{shape.text}</text>
        </>
      );
    case 'text':
      return <text x={shape.x} y={shape.y} className="pp-text">{shape.text}</text>;
  }
}
