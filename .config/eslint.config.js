import tseslint from 'typescript-eslint';

const pure = ['kernel', 'words', 'signals', 'riser', 'hydraulics', 'reasoning', 'alerting', 'api', 'scenario'];

export default tseslint.config(
  {
    ignores: [
      '**/dist/**',
      '**/node_modules/**',
      'tests/artefacts/**',
      '**/*.mjs',
      '**/*.cjs',
      '.config/**',
      '**/*.d.ts',
    ],
  },
  ...tseslint.configs.strictTypeChecked,
  {
    languageOptions: {
      parserOptions: {
        project: [
          '.config/tsconfig.tests.json',
          'libs/*/tsconfig.json',
          'services/*/tsconfig.json',
          'services/desk/web/tsconfig.json',
          'simulator/tsconfig.json',
        ],
        tsconfigRootDir: `${import.meta.dirname}/..`,
      },
    },
    rules: {
      '@typescript-eslint/consistent-type-imports': 'error',
      '@typescript-eslint/switch-exhaustiveness-check': ['error', { considerDefaultExhaustiveForUnions: true }],
      '@typescript-eslint/restrict-template-expressions': ['error', { allowNumber: true, allowBoolean: true }],
      '@typescript-eslint/no-extraneous-class': ['error', { allowWithDecorator: true }],
      '@typescript-eslint/no-confusing-void-expression': ['error', { ignoreArrowShorthand: true }],
      'max-params': ['error', 4],
      'no-restricted-syntax': [
        'error',
        { selector: 'ExportDefaultDeclaration', message: 'Name what is exported.' },
        {
          selector: 'CallExpression[callee.object.name="Math"][callee.property.name="random"]',
          message: 'Chance comes in as Random.',
        },
      ],
      eqeqeq: 'error',
    },
  },
  {
    files: ['**/*.config.ts', '.config/**'],
    rules: { 'no-restricted-syntax': 'off' },
  },
  {
    files: pure
      .map((name) => `libs/${name}/src/**/*.ts`)
      .concat(
        ['plant', 'panel', 'crew', 'faults', 'link', 'stage', 'plot'].map((name) => `simulator/src/${name}/**/*.ts`),
      ),
    rules: {
      'no-restricted-globals': [
        'error',
        'setTimeout',
        'setInterval',
        'setImmediate',
        'process',
        'performance',
        'fetch',
        'console',
      ],
      'no-restricted-syntax': [
        'error',
        { selector: 'ExportDefaultDeclaration', message: 'Name what is exported.' },
        {
          selector: 'CallExpression[callee.object.name="Date"][callee.property.name="now"]',
          message: 'Time comes in as an Instant.',
        },
        { selector: 'NewExpression[callee.name="Date"][arguments.length=0]', message: 'Time comes in as an Instant.' },
        {
          selector: 'CallExpression[callee.object.name="Math"][callee.property.name="random"]',
          message: 'Chance comes in as Random.',
        },
      ],
    },
  },
  {
    files: ['**/test/**/*.ts', 'tests/**/*.ts'],
    rules: {
      '@typescript-eslint/no-non-null-assertion': 'off',
      // Vitest's matchers (expect.closeTo, expect.stringContaining) are typed any.
      '@typescript-eslint/no-unsafe-assignment': 'off',
      'max-params': 'off',
    },
  },
);
