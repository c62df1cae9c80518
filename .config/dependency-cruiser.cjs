/** The import directions of DEVELOPERS.md. What a package may import is what its package.json declares, and this table. */
const may = {
  kernel: [],
  words: [],
  signals: ['words', 'kernel'],
  hydraulics: ['kernel'],
  riser: ['signals', 'words', 'kernel'],
  reasoning: ['riser', 'signals', 'hydraulics', 'alerting', 'words', 'kernel'],
  alerting: ['words', 'kernel'],
  journal: ['kernel'],
  'journal-sqlite': ['journal', 'kernel'],
  'journal-kurrentdb': ['journal', 'kernel'],
  runtime: ['journal', 'kernel'],
  mqtt: ['signals', 'kernel'],
  api: ['words', 'kernel'],
  scenario: ['signals', 'riser', 'words', 'kernel'],
};
const pure = ['kernel', 'words', 'signals', 'riser', 'hydraulics', 'reasoning', 'alerting', 'api', 'scenario'];

/** @type {import('dependency-cruiser').IConfiguration} */
module.exports = {
  forbidden: [
    {
      name: 'no-cycles',
      severity: 'error',
      from: {},
      to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } },
    },
    { name: 'no-unresolved', severity: 'error', from: {}, to: { couldNotResolve: true } },
    {
      name: 'no-undeclared-dependency',
      severity: 'error',
      from: { path: '^(libs|services|simulator)/', pathNot: '/(test|web)/' },
      to: { dependencyTypes: ['npm-no-pkg', 'npm-unknown'] },
    },
    ...Object.entries(may).map(([name, allowed]) => ({
      name: `${name}-imports-only-below`,
      severity: 'error',
      from: { path: `^libs/${name}/src/` },
      to: { path: '^(libs|services|simulator)/', pathNot: `^libs/(${[name, ...allowed].join('|')})/` },
    })),
    {
      name: 'pure-packages-do-no-input-or-output',
      severity: 'error',
      from: { path: `^(libs/(${pure.join('|')})/src/|simulator/src/(plant|panel|crew|faults|link|stage|plot)/)` },
      to: { dependencyTypes: ['core'], pathNot: '^(node:)?(crypto|buffer)$' },
    },
    {
      name: 'pure-packages-know-no-framework',
      severity: 'error',
      from: { path: `^(libs/(${pure.join('|')})/src/|simulator/src/(plant|panel|crew|faults|link|stage|plot)/)` },
      to: { path: 'node_modules/(@nestjs|rxjs|mqtt|aedes|better-sqlite3)' },
    },
    {
      name: 'no-service-imports-another',
      severity: 'error',
      from: { path: '^services/(?!station/)([^/]+)/src/' },
      to: { path: '^services/', pathNot: '^services/$1/' },
    },
    {
      name: 'the-physics-shares-no-code-with-its-judge',
      severity: 'error',
      from: { path: '^simulator/src/' },
      to: { path: '^(libs/(reasoning|alerting|runtime)|services)/' },
    },
    {
      name: 'the-page-imports-the-api-only',
      severity: 'error',
      from: { path: '^services/desk/web/' },
      to: { path: '^(libs|services|simulator)/', pathNot: '^(libs/(api|words|kernel)/|services/desk/web/)' },
    },
    {
      name: 'enter-a-package-by-its-front-door',
      severity: 'error',
      from: { path: '^(libs/[^/]+|services/[^/]+|simulator)/' },
      to: {
        path: '^(libs/[^/]+|services/[^/]+|simulator)/src/',
        pathNot: ['/src/index\\.ts$', '/src/contract\\.ts$', '^$1/'],
      },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules|/dist/' },
    exclude: { path: '/dist/|/dist-web/|tests/artefacts|libs/api/scripts/' },
    tsPreCompilationDeps: true,
    enhancedResolveOptions: {
      conditionNames: ['tidemark-source', 'import', 'node', 'default'],
      exportsFields: ['exports'],
      extensions: ['.ts', '.tsx', '.js', '.mjs', '.json'],
    },
  },
};
