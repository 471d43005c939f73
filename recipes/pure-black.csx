#load "snippets/blacks.csx"

Recipe.Title("Make blacks exact");
Recipe.Purpose("Makes neutral near-black exactly 0,0,0, so that a black garment shows there. Dark blue, dark red and other tinted darks stay, and so do the shadows of photographs unless asked for.");
Recipe.Example("recipes dry-run pure-black puffin.png --setup black-garment");

var lightness = Param.Number("lightness", 13, min: 0, max: 50, help: "Drop up to this L*");
var chroma = Param.Number("chroma", 3, min: 0, max: 20, help: "Drop up to this chroma; tinted darks stay");
var where = Param.Choice("where", ["flat", "all"], help: "flat leaves photographic shadows alone");

var near = Art.Find.NearBlack(lightness, chroma);
var black = where == "all" ? near : near.Flat();
ListBlacks(black, lightness, chroma);
Art.DropBlack(black, layer: "pure black");
