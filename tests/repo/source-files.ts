import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join, posix, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { execFileSync } from 'node:child_process';
import ts from 'typescript';

export const ROOT = fileURLToPath(new URL('../../', import.meta.url));

/** One import as it stands in a source file; `target` is a path from the root, or a package's name. */
export interface ImportEdge {
  readonly file: string;
  readonly line: number;
  readonly target: string;
  readonly isPackage: boolean;
  /** Gone after compilation: names types only. */
  readonly isTypeOnly: boolean;
}

/** Returns the files of `folder` (from the root, '/' between parts) whose names match, at any depth. */
export function filesBelow(folder: string, match: RegExp): string[] {
  return readdirSync(join(ROOT, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && match.test(entry.name))
    .map((entry) => relative(ROOT, join(entry.parentPath, entry.name)).split(sep).join('/'))
    .filter((path) => !path.includes('node_modules/'))
    .sort();
}

/** Returns every file that git knows or would take in: what a clone would hold. Without git, everything that is not made by a command. */
export function repositoryFiles(): string[] {
  if (!existsSync(join(ROOT, '.git'))) return filesBelow('.', /./).filter((path) => !/^(dist|coverage|test-results|playwright-report)\//.test(path));
  return execFileSync('git', ['ls-files', '-z', '--cached', '--others', '--exclude-standard'], { cwd: ROOT, encoding: 'utf8', maxBuffer: 64 << 20 })
    .split('\0')
    .filter((path) => path !== '' && existsSync(join(ROOT, path)));
}

export function readText(path: string): string {
  return readFileSync(join(ROOT, path), 'utf8');
}

/** Returns the imports and re-exports of one file, dynamic ones included. */
export function importsOf(file: string): ImportEdge[] {
  const source = ts.createSourceFile(file, readText(file), ts.ScriptTarget.Latest, true, file.endsWith('x') ? ts.ScriptKind.TSX : ts.ScriptKind.TS);
  const edges: ImportEdge[] = [];
  const add = (node: ts.Node, specifier: ts.Node | undefined, isTypeOnly: boolean): void => {
    if (specifier === undefined || !ts.isStringLiteralLike(specifier)) return;
    const isPackage = !specifier.text.startsWith('.');
    edges.push({
      file,
      line: source.getLineAndCharacterOfPosition(node.getStart()).line + 1,
      target: isPackage ? packageOf(specifier.text) : posix.normalize(posix.join(dirname(file), specifier.text)),
      isPackage,
      isTypeOnly,
    });
  };
  const visit = (node: ts.Node): void => {
    if (ts.isImportDeclaration(node)) add(node, node.moduleSpecifier, namesTypesOnly(node.importClause));
    else if (ts.isExportDeclaration(node)) add(node, node.moduleSpecifier, node.isTypeOnly);
    else if (ts.isCallExpression(node) && node.expression.kind === ts.SyntaxKind.ImportKeyword) add(node, node.arguments[0], false);
    else if (ts.isImportTypeNode(node) && ts.isLiteralTypeNode(node.argument)) add(node, node.argument.literal, true);
    ts.forEachChild(node, visit);
  };
  visit(source);
  return edges;
}

function namesTypesOnly(clause: ts.ImportClause | undefined): boolean {
  if (clause === undefined) return false;
  if (clause.phaseModifier === ts.SyntaxKind.TypeKeyword) return true;
  const named = clause.namedBindings;
  return clause.name === undefined && named !== undefined && ts.isNamedImports(named) && named.elements.length > 0 && named.elements.every((element) => element.isTypeOnly);
}

function packageOf(specifier: string): string {
  if (specifier.startsWith('node:')) return specifier;
  return specifier.split('/').slice(0, specifier.startsWith('@') ? 2 : 1).join('/');
}
