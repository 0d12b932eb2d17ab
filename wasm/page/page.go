// Package page holds what a browser is given beside the program: the page, its
// style, its scripts. Package site makes a site of them.
package page

import "embed"

// Files are the page's, by name. index.html is a template of html/template, and in
// worker.js "VERSION" and ["FILES"] stand for what is filled in.
//
//go:embed index.html style.css start.js compile.js loader.js sheet.js files.js input.js worker.js
var Files embed.FS
