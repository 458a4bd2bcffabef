export { definitionText, shortDefinitionText } from '../../core/model/definition-text.ts';
