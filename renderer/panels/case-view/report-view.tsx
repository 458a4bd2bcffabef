import { Fragment, type JSX } from 'react';
import { markOutline } from '../../../core/model/mark-outline.ts';
import type { ReportBlock, ReportDocument, ReportFigure, ReportTable, Shape } from '../../../core/model/report-document.ts';
import { INKS } from '../../../core/model/report-document.ts';

/** Returns a report as it will be written: the same words, tables and pictures. It is paper, and white in a dark window too. */
export function ReportView({ document }: { readonly document: ReportDocument }): JSX.Element {
  return (
    <article className={document.isDense ? 'paper paper-dense' : 'paper'} lang={document.language} aria-label={`${document.title}: ${document.subtitle}`}>
      {document.header === '' ? null : <p className="paper-header">{document.header}</p>}
      <h3 className="paper-title">{document.title}</h3>
      <p className="paper-soft">{document.subtitle}</p>
      {/* Blocks have no names of their own and never change places. */}
      {document.blocks.map((block, i) => <BlockView key={i} block={block} />)}
      <p className="paper-soft">{document.footer}</p>
    </article>
  );
}

function BlockView({ block }: { readonly block: ReportBlock }): JSX.Element {
  switch (block.kind) {
    case 'heading':
      return block.level === 2 ? <h4>{block.text}</h4> : <h5>{block.text}</h5>;
    case 'paragraph':
      return <p className={block.tone === 'soft' ? 'paper-soft' : undefined}>{block.text}</p>;
    case 'list': {
      const entries = block.items.map((text) => <li key={text}>{text}</li>);
      return block.isNumbered ? <ol>{entries}</ol> : <ul>{entries}</ul>;
    }
    case 'facts':
      return <>{block.rows.map(([name, text]) => <p key={name}><span className="paper-soft">{name}:</span> {text}</p>)}</>;
    case 'table':
      return <TableView table={block.table} />;
    case 'figure':
      return (
        <>
          <FigureView figure={block.figure} />
          {block.table === null ? null : <TableView table={block.table} />}
        </>
      );
  }
}

function TableView({ table: { caption, columns, rows, note } }: { readonly table: ReportTable }): JSX.Element {
  const end = (i: number): string | undefined => (columns[i]?.align === 'end' ? 'align-right' : undefined);
  return (
    <>
      <table>
        <caption>{caption}</caption>
        <thead><tr>{columns.map(({ heading }, i) => <th key={i} scope="col" className={end(i)}>{heading}</th>)}</tr></thead>
        <tbody>{rows.map((cells, row) => <tr key={row}>{cells.map((text, i) => (i === 0 ? <th key={i} scope="row" className={end(i)}>{text}</th> : <td key={i} className={end(i)}>{text}</td>))}</tr>)}</tbody>
      </table>
      {note === '' ? null : <p className="paper-soft">{note}</p>}
    </>
  );
}

function FigureView({ figure: { scene, alternative, caption } }: { readonly figure: ReportFigure }): JSX.Element {
  return (
    <figure>
      <svg viewBox={`0 0 ${scene.width} ${scene.height}`} role="img" aria-label={alternative}>{scene.shapes.map((shape, i) => <Fragment key={i}>{drawn(shape)}</Fragment>)}</svg>
      <figcaption className="paper-soft">{caption}</figcaption>
    </figure>
  );
}

function pointsOf(points: readonly (readonly [number, number])[]): string {
  return points.map(([x, y]) => `${x},${y}`).join(' ');
}

function drawn(shape: Shape): JSX.Element {
  switch (shape.kind) {
    case 'line':
      return <polyline points={pointsOf(shape.points)} fill="none" stroke={INKS[shape.ink]} strokeWidth={shape.width} strokeLinejoin="round" strokeDasharray={shape.dash?.join(' ')} />;
    case 'area':
      return <polygon points={pointsOf(shape.points)} fill={INKS[shape.fill]} />;
    case 'box':
      return <rect x={shape.x} y={shape.y} width={shape.width} height={shape.height} fill={shape.fill === null ? 'none' : INKS[shape.fill]} stroke={shape.edge === null ? undefined : INKS[shape.edge]} strokeWidth={0.6} strokeDasharray={shape.dash?.join(' ')} />;
    case 'text':
      return <text x={shape.x} y={shape.y} fontSize={shape.size} fill={INKS[shape.ink]} textAnchor={shape.align} fontWeight={shape.isBold === true ? 700 : undefined}>{shape.text}</text>;
    case 'mark': {
      const outline = markOutline(shape);
      const ink = INKS[shape.ink];
      const paint = shape.isHollow === true ? { fill: '#fff', stroke: ink, strokeWidth: 0.9 } : { fill: ink };
      if (outline === null) return <circle cx={shape.x} cy={shape.y} r={shape.size / 2} {...paint} />;
      if (shape.form === 'cross') return <path d={outline.map((part) => `M${part.map((point) => point.join(' ')).join('L')}`).join('')} fill="none" stroke={ink} strokeWidth={1.1} />;
      return <polygon points={pointsOf(outline[0] ?? [])} {...paint} />;
    }
  }
}
