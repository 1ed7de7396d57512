"""The piece kinds: generators from a few numbers to sheets, folds and joins."""
