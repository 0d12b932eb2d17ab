// Package chart draws what a simulation, a sweep or a belief says, as light SVG
// for a page, a phone or a printer:
//
//	t, err := chart.Watched(rec, "manifold", chart.Switch{Starts: 30 * unit.PSI, Stops: 45 * unit.PSI}, 0, 10*time.Minute)
//	err = chart.Figure{Picture: t}.SVG(w, unit.US, "pressure")
//
// Every picture says its finding in its heading ([Picture.Title]) and the whole
// of it in words ([Picture.Words]), which the SVG carries for those who do not
// see it. What is told by colour is told by a shape as well. The same data and
// units give the same bytes. No font is embedded; labels are measured in the
// widest face that is likely, so they do not run into each other in another.
//
// A picture is laid out once, as a [Drawing] of lines, areas and labels. SVG is
// one way of putting it on paper; package plots has others, and a program with
// a screen of its own can walk [Drawing.Marks].
package chart
