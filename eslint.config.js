import reactHooks from 'eslint-plugin-react-hooks';
import ts from 'typescript';
import tseslint from 'typescript-eslint';

/** `as` says "I know better than the compiler": the reason has to stand beside it or on the line above. */
const commentedCast = {
  meta: { type: 'suggestion', schema: [], messages: { bare: '`as` needs a comment that says why it is right.' } },
  create(context) {
    const commented = new Set(context.sourceCode.getAllComments().flatMap((c) => {
      const lines = [];
      for (let line = c.loc.start.line; line <= c.loc.end.line + 1; line += 1) lines.push(line);
      return lines;
    }));
    return {
      TSAsExpression(node) {
        if (node.typeAnnotation.type === 'TSTypeReference' && node.typeAnnotation.typeName.name === 'const') return;
        for (let line = node.loc.start.line; line <= node.loc.end.line; line += 1) if (commented.has(line)) return;
        context.report({ node, messageId: 'bare' });
      },
    };
  },
};

/** `new Date(text)` reads the machine's zone and every engine's own taste; `new Date()` reads the clock. */
const numericDate = {
  meta: { type: 'problem', schema: [], messages: { text: '`new Date` in core takes one number and nothing else.' } },
  create(context) {
    const services = context.sourceCode.parserServices;
    return {
      NewExpression(node) {
        if (node.callee.type !== 'Identifier' || node.callee.name !== 'Date') return;
        const first = node.arguments[0];
        const isNumber = node.arguments.length === 1 && (services.getTypeAtLocation(first).flags & ts.TypeFlags.NumberLike) !== 0;
        if (!isNumber) context.report({ node, messageId: 'text' });
      },
    };
  },
};

const local = { rules: { 'commented-cast': commentedCast, 'numeric-date': numericDate } };

const NO_BARREL = { selector: 'ExportAllDeclaration', message: 'Import from the file that defines the thing; no `export *`.' };
const NO_TOP_LET = ['Program > VariableDeclaration[kind="let"]', 'Program > ExportNamedDeclaration > VariableDeclaration[kind="let"]'].map((selector) => ({
  selector,
  message: 'No state at module level: pass it.',
}));
const NO_SYNC_FILES = { selector: 'CallExpression[callee.property.name=/Sync$/], CallExpression[callee.name=/Sync$/]', message: 'No synchronous file calls once the program runs.' };
const PURE_CORE = [
  { selector: 'MemberExpression[object.name="Date"][property.name="now"]', message: 'core has no clock: pass the time in.' },
  { selector: 'MemberExpression[object.name="Math"][property.name="random"]', message: 'core has no randomness: pass a generator in.' },
  { selector: 'MemberExpression[property.name=/^toLocale/]', message: 'core knows no locale.' },
  { selector: 'MemberExpression[property.name="localeCompare"]', message: 'core knows no locale: compare code units.' },
  { selector: 'MemberExpression[object.name="Intl"]', message: 'core knows no locale.' },
  { selector: 'Identifier[name="console"]', message: 'core does not log.' },
];

export default tseslint.config(
  { ignores: ['vitest.config.ts', 'dist/**', 'node_modules/**', 'coverage/**', 'test-results/**', 'screens/**', 'playwright-report/**', '.lacuna/**'] },
  {
    files: ['**/*.ts', '**/*.tsx'],
    extends: [tseslint.configs.strict],
    plugins: { local },
    languageOptions: {
      parserOptions: { project: ['core/tsconfig.json', 'electron/tsconfig.json', 'renderer/tsconfig.json', 'tests/tsconfig.json'], tsconfigRootDir: import.meta.dirname },
    },
    linterOptions: { reportUnusedDisableDirectives: 'error' },
    rules: {
      '@typescript-eslint/await-thenable': 'error',
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/no-misused-promises': ['error', { checksVoidReturn: { attributes: false } }],
      '@typescript-eslint/switch-exhaustiveness-check': ['error', { considerDefaultExhaustiveForUnions: true }],
      '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
      'eqeqeq': 'error',
      'no-eval': 'error',
      'no-implied-eval': 'error',
      'no-new-func': 'error',
      'no-warning-comments': ['error', { terms: ['todo', 'fixme', 'xxx'], location: 'start' }],
      'local/commented-cast': 'error',
      'no-restricted-syntax': ['error', NO_BARREL],
    },
  },
  {
    files: ['core/**/*.ts'],
    rules: {
      'local/numeric-date': 'error',
      'no-restricted-syntax': ['error', NO_BARREL, ...NO_TOP_LET, ...PURE_CORE],
    },
  },
  {
    files: ['electron/**/*.ts'],
    rules: { 'no-restricted-syntax': ['error', NO_BARREL, ...NO_TOP_LET, NO_SYNC_FILES] },
  },
  {
    files: ['renderer/**/*.{ts,tsx}'],
    plugins: { 'react-hooks': reactHooks },
    rules: {
      'react-hooks/rules-of-hooks': 'error',
      'react-hooks/exhaustive-deps': 'error',
      'no-console': 'error',
      'no-restricted-syntax': ['error', NO_BARREL, ...NO_TOP_LET],
    },
  },
  {
    files: ['tests/**/*.{ts,tsx}', 'sample-cases/**/*.ts'],
    rules: {
      'local/commented-cast': 'off',
      '@typescript-eslint/no-non-null-assertion': 'off',
      '@typescript-eslint/no-explicit-any': 'off',
      '@typescript-eslint/no-invalid-void-type': 'off',
    },
  },
);
