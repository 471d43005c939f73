// Dust(paper): the part of a background that would have printed, being near white instead of bare.
static Region Dust(Region paper) =>
    paper.Intersect(Art.Find.Where(pixel => Setup.Ink.StateOf(pixel) == InkState.Prints));
