#load "snippets/blacks.csx"

Recipe.Title("Make blacks exact");
Recipe.Purpose("Makes neutral near-black exactly 0,0,0, so that a black garment shows there. Outlines, lettering and flat shapes go whole, through the noise of a JPEG too. Dark blue, dark red and other tinted darks stay, and so do the shadows of photographs unless asked for.");
Recipe.Example("recipes dry-run pure-black puffin.png --setup black-garment");

var lightness = Param.Number("lightness", 13, min: 0, max: 50, help: "Drop up to this L*");
var chroma = Param.Number("chroma", 3, min: 0, max: 20, help: "Drop up to this chroma; tinted darks stay");
var where = Param.Choice("where", ["flat", "all"], help: "flat takes what is drawn and leaves photographic shadows alone");
var fade = Param.Choice("fade", ["ask", "keep", "drop"], help: "Even black that runs into a fade or shadow: ask keeps it and asks, keep keeps it, drop cuts it off where the fade begins");
var also = Param.RegionNumbers("also", help: "Drop these of the numbered fades, and keep the others");

var found = Art.Find.DrawnBlack(lightness, chroma);
var fades = found.Fades.Islands(diagonal: true);
foreach (var number in also)
    if (number > fades.Count)
        Recipe.Decline($"There is no fade {number}; this art has {fades.Count}.");
var dropped = fades.Pick(part => fade == "drop" || also.Contains(part.Number));
var black = found.Drawn.Union(where == "all" ? found.Within : dropped);
if (where == "flat" && found.AboutFades(decided: fade != "ask" || also.Count > 0) is { } question && Setup.Ink.BlackBare)
{
    Report.Regions("black that runs into a fade", fades, dropped);
    Report.Ask(question);
}

ListBlacks(black, lightness, chroma);
Art.DropBlack(black, layer: "pure black");
