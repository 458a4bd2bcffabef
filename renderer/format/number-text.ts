export { byteText, countText, doseText, numberText, plainNumberText, saturationText, shareText, unitText } from '../../core/base/number-text.ts';
