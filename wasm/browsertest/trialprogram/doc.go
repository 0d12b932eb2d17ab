// Trialprogram is the chapter of package trial, twice, in a window of its own, for the
// tests of the page.
package main
