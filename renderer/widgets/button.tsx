import type { ButtonHTMLAttributes, JSX } from 'react';

export interface ButtonProps extends ButtonHTMLAttributes<HTMLButtonElement> {
  readonly look?: 'plain' | 'primary' | 'quiet' | 'link' | undefined;
}

/** Returns a button; never a submit button unless asked. */
export function Button({ look = 'plain', className, type = 'button', ...rest }: ButtonProps): JSX.Element {
  return <button {...rest} type={type} className={`button button-${look}${className === undefined ? '' : ` ${className}`}`} />;
}
