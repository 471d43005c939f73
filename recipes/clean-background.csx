#load "snippets/dust.csx"

Recipe.Title("Clean the background");
Recipe.Purpose("Leaves the whole background bare in one way, near-white dust included. Only what a walk from the border reaches changes; highlights in the art, flat pale shapes and whites made printable stay.");
Recipe.Example("recipes dry-run clean-background puffin.jpg");

var background = Param.Levels("background", 8, help: "How far from white the background may be, where it is neutral");
var nearArt = Param.Levels("near-art", 23, help: "How far from white it may be within the ring around the art");
var ring = Param.Length("ring", "1.5mm", help: "How wide that ring is");

var paper = Art.Find.Background(background, nearArt, ring);
Report.Note($"{paper.Count:#,0} pixels of background will be bare; {Dust(paper).Count:#,0} of them would have printed.");
Art.LeaveBare(paper, layer: "clean background");
