//! Routes, concepts, coverages, read plans, judgement.
