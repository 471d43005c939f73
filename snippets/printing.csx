// Printing(): everything that lays ink under this garment setup.
static Region Printing() => Art.Find.Where(pixel => Setup.Ink.StateOf(pixel) == InkState.Prints);
