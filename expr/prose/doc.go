// Package prose reads the words around the mathematics of a pasted text: greetings and remarks, lead-ins ("Consider
// the equation"), labels and numbers of lines, the dressing of Markdown, mails and LaTeX documents. It says which
// stretches the reader of mathematics passes over, and which it reads as something else, so that every place stays
// one of the text as typed.
//
// # What is passed over
//
// A clause is what stands between commas, semicolons, colons, full stops and line ends. A clause, or a whole line,
// with a word and neither a relation nor a derivative is a remark. In a clause with mathematics the words before it
// are its lead-in, words between two statements separate them, and words behind it are an aside where they begin
// with a word such as "by" or "which".
//
// # What is refused
//
// Words can carry mathematics: "q = 10 on the left half", "but y(1) = 3". Where a word beside a formula may change
// what it says (same, but, instead, not, or, half, otherwise …) nothing is passed over: the words are a fault, with
// their place.
//
// # What is a word
//
// A run of letters that the text does not use as a name: it has no prime, stands left of no equals sign, touches no
// operator, and is no function, Greek letter or word of the notation. Inside LaTeX mathematics only \text holds
// words.
package prose
