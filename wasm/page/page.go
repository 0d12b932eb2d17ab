// Package page holds what a browser is given beside the program: the page, its
// style, its scripts. Package serve makes a site of them.
package page

import "embed"

// Files are the page's, by name. index.html is a template of html/template.
//
//go:embed index.html style.css start.js loader.js sheet.js files.js input.js worker.js
var Files embed.FS
