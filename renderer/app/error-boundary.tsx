import { Component, type ReactNode } from 'react';
import { Button } from '../widgets/button.tsx';
import { Notice } from '../widgets/notice.tsx';

interface ErrorBoundaryProps {
  /** What failed, in words: "The case screen". */
  readonly part: string;
  readonly children: ReactNode;
}

interface ErrorBoundaryState {
  readonly message: string | null;
}

/** Shows a failed part as failed and leaves the rest of the window alone. (React has this only as a class.) */
export class ErrorBoundary extends Component<ErrorBoundaryProps, ErrorBoundaryState> {
  override state: ErrorBoundaryState = { message: null };

  static getDerivedStateFromError(error: unknown): ErrorBoundaryState {
    return { message: error instanceof Error ? error.message : String(error) };
  }

  override render(): ReactNode {
    const { message } = this.state;
    if (message === null) return this.props.children;
    return (
      <div className="page">
        <Notice tone="problem" title={`${this.props.part} could not be drawn.`} live>
          <p>This is a fault of the program, not of your record. Nothing stored has changed. What it said: {message}</p>
          <Button onClick={() => this.setState({ message: null })}>Try again</Button>
        </Notice>
      </div>
    );
  }
}
