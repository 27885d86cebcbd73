// Package screens is the app: home, job sheet, bench, report sheet, debrief,
// settings and help, one file each.
//
// A screen reads what a trainee may see of the bench and gives it Actions. The
// hidden truth is touched by the debrief alone, after the attempt has ended.
// Nothing here knows of a window: App takes an input and fills a display list.
package screens
