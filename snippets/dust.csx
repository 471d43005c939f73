// Dust(paper): the part of a background that would have printed, being near white instead of bare.
#load "snippets/printing.csx"

static Region Dust(Region paper) => paper.Intersect(Printing());
