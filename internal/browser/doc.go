// Package browser holds a test that looks at the rehearsal as a person does: a Chromium opens its page and plays the member,
// the rabbi and the office with clicks and typed words, at the width of a desk and of a phone, in every language, and takes
// the screenshots of docs/screenshots.
//
// What lives here: that test, and the hand and the eye that it needs. What does not live here: anything of the program, and
// the rules of the page's endpoints, which are tested in package page without a browser.
package browser
