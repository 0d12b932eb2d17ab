package rigfile

import "quietpump/network/rigfile/document"

// A Problem is one thing wrong in a file: where, at which part, what, and what
// to do about it.
type Problem = document.Problem

// Problems is everything wrong in one file, in the order of the file.
type Problems = document.Problems
