// ListBlacks(black, lightness, chroma): reports each color that becomes pure black, and the near ones that stay.
static void ListBlacks(Region black, double lightness, double chroma)
{
    var near = Art.Find.NearBlack(lightness + 10, chroma + 12);
    Report.Colors(Setup.Ink.BlackBare ? "drops, so that the garment shows" : "becomes pure black, which prints on this garment", black);
    Report.Colors("near black, but stays", near.Except(black));
}
