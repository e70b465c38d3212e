// Package numbers reads a table of numbers that somebody pasted: from a spreadsheet, a program's output, Markdown or
// LaTeX. With each number it keeps the digits that were written, for these say how exact it is meant to be. It judges
// nothing: package slips does, and takes the table and the slips that the formulas of a sheet allow from here.
package numbers
