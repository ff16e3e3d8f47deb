//! Use cases, and jobs with progress and cancellation.
