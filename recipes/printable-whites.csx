#load "snippets/numbered.csx"

Recipe.Title("Make enclosed whites printable");
Recipe.Purpose("Moves pure white that art surrounds to the brightest white that prints, so that bellies, sails and lettering don't vanish. Holes of letters stay bare, without a rim. Every region is numbered: choose with only and except.");
Recipe.Example("recipes dry-run printable-whites puffin.png --set except=6");

var where = Param.Choice("where", ["enclosed", "all"], help: "enclosed leaves the white around the art bare; all makes every white print");
var only = Param.RegionNumbers("only", help: "Only these regions");
var except = Param.RegionNumbers("except", help: "All but these regions, for instance the hole of a ring");
var also = Param.RegionNumbers("also", help: "These regions too: white that runs off the picture, or holes of letters");
var smallest = Param.Area("smallest", "0mm2", help: "Leave specks below this size alone");
var near = Param.Levels("near", 24, help: "How far from white the background may be for the walk from the border to pass");

var islands = where == "all" ? Art.Find.PureWhite().Islands() : Art.Find.NumberedWhites(near);
var holes = Art.Find.HolesAmong(islands, near);
var left = islands.Where(white => white.Class == "edge-white").Select(white => white.Number).Concat(holes.Bare);
IReadOnlyList<int> Whole(IReadOnlyList<int> numbers) => where == "all" ? numbers : holes.WithCrumbs(islands, numbers);
var skipped = Whole(except);
var chosen = Numbered(islands, Whole(only), skipped, smallest, Whole(also), left);
Report.Regions(where == "all" ? "pure white" : "enclosed white", islands, chosen);
foreach (var question in where == "all" ? [] : Art.Find.WhiteQuestions(islands, holes))
    Report.Ask(question.AnsweredBy(only, except, also));

Report.Note(Setup.Ink.WhiteBare ? $"{chosen.Count:#,0} pixels of white will print."
    : "White prints under this garment setup as it is; nothing to change.");
var rim = Art.Find.RimOfHoles(holes, islands.Pick(white => skipped.Contains(white.Number)), chosen, near);
Art.LeaveBare(rim.Paper, layer: "holes");
Art.TakeOut(rim.Mixed, Rgba8.White, layer: "rims of holes");
Art.MakePrintable(chosen, layer: "printable whites");
