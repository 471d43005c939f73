#load "snippets/numbered.csx"

Recipe.Title("Make enclosed whites printable");
Recipe.Purpose("Moves pure white that art surrounds to the brightest white that prints, so that bellies, sails and lettering don't vanish. Every region is numbered: choose with only and except.");
Recipe.Example("recipes dry-run printable-whites puffin.png --set except=6");

var where = Param.Choice("where", ["enclosed", "all"], help: "enclosed leaves the white around the art bare; all makes every white print");
var only = Param.RegionNumbers("only", help: "Only these regions");
var except = Param.RegionNumbers("except", help: "All but these regions, for instance the hole of a ring");
var smallest = Param.Area("smallest", "0mm2", help: "Leave specks below this size alone");
var near = Param.Levels("near", 24, help: "How far from white the background may be for the walk from the border to pass");

var white = Art.Find.PureWhite();
var islands = (where == "all" ? white : white.Enclosed(near)).Islands();
var chosen = Numbered(islands, only, except, smallest);
Report.Regions(where == "all" ? "pure white" : "enclosed white", islands, chosen);

if (Setup.Ink.WhiteBare)
    Report.Note($"{chosen.Count:#,0} pixels of white will print.");
else
    Report.Note("White prints under this garment setup as it is; nothing to change.");
Art.MakePrintable(chosen, layer: "printable whites");
