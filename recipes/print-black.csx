Recipe.Title("Make black print");
Recipe.Purpose("Moves pure black to the darkest black that prints, where the garment setup would leave it bare.");
Recipe.Example("recipes dry-run print-black puffin-cut.png --setup black-garment");

var black = Art.Find.PureBlack();
if (Setup.Ink.BlackBare)
    Report.Note($"{black.Count:#,0} pixels of black will print.");
else
    Report.Note("Black prints under this garment setup as it is; nothing to change.");
Art.PrintBlack(black, layer: "printed black");
