import jsdoc from 'eslint-plugin-jsdoc';
import tseslint from 'typescript-eslint';

const lean = {
  'no-console': 'error',
  eqeqeq: 'error',
  'prefer-const': 'error',
  '@typescript-eslint/no-unused-vars': ['error', { argsIgnorePattern: '^_', varsIgnorePattern: '^_' }],
  '@typescript-eslint/no-explicit-any': 'error',
  '@typescript-eslint/no-non-null-assertion': 'off',
};

export default tseslint.config(
  { ignores: ['**/dist/**', '**/node_modules/**', '**/reports/**', '**/*.d.ts', 'tests/consumer/**'] },
  {
    files: ['src/**/*.ts'],
    extends: [tseslint.configs.base],
    plugins: { jsdoc },
    rules: {
      ...lean,
      'jsdoc/require-jsdoc': ['error', { publicOnly: true, require: { FunctionDeclaration: true, ClassDeclaration: true }, contexts: ['TSInterfaceDeclaration', 'TSTypeAliasDeclaration', 'ExportNamedDeclaration > VariableDeclaration'] }],
      'jsdoc/require-description': ['error', { contexts: ['any'] }],
    },
  },
  { files: ['src/cli/**/*.ts', 'src/kernel/**/*.ts'], rules: { 'no-console': 'off' } },
  { files: ['tests/**/*.ts'], extends: [tseslint.configs.base], rules: { ...lean, 'no-console': 'off' } },
  { files: ['**/*.mjs'], extends: [tseslint.configs.base], rules: { ...lean, 'no-console': 'off' } },
);
