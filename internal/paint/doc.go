// Package paint is the drawing surface of the app: a display list in logical pixels, the fonts and their metrics, the
// colour themes, and two ways to make pixels of a list. Start with List: screens append shapes to it, Reset keeps its
// memory, Hash tells whether anything changed. Painter turns a list into one batched mesh of feathered triangles with a
// glyph atlas; a window hands that mesh to the graphics card, and Render rasterises the very same mesh in software, so
// that tests, reports and screenshots see what a trainee sees, with no display.
//
// Not here: widgets, input, anything that knows of gauges.
package paint
