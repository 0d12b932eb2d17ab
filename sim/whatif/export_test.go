package whatif

// Scores is for tests of how draws are spread.
var Scores = normalScores
