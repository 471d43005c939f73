#load "snippets/dust.csx"
#load "snippets/numbered.csx"

Recipe.Title("Clean the background");
Recipe.Purpose("Leaves the whole background bare in one way, near-white dust included. Only what a walk from the picture's edge reaches changes; highlights in the art, pale shapes, fades and whites made printable stay. Opaque white of a cut-out is art.");
Recipe.Example("recipes dry-run clean-background puffin.jpg");

var background = Param.Levels("background", 8, help: "How far from the paper's color the background may be, where it is neutral");
var nearArt = Param.Levels("near-art", 23, help: "How far from it within the ring around the art");
var ring = Param.Length("ring", "1.5mm", help: "How wide that ring is");
var edge = Param.Choice("edge", ["ask", "bare", "keep"], help: "White that runs off the picture: ask leaves it and asks, bare cleans it too, keep leaves it");
var only = Param.RegionNumbers("only", help: "Of the numbered whites only these, enclosed ones too; dust in them goes");
var except = Param.RegionNumbers("except", help: "All white that runs off the picture but these");
var fade = Param.Choice("fade", ["ask", "keep", "bare"], help: "Pale color that runs out into the paper: ask keeps it and asks; bare cleans it");
var paper = Param.Choice("paper", ["ask", "remove", "keep"], help: "Paper that isn't white, sheets, checkers, frames: ask does the usual and asks");
var inside = Param.Choice("inside", ["ask", "bare", "keep"],
    help: "Such paper, and near white without a number, where art surrounds it: ask leaves it, but on light cloth, and asks");

var cleaning = Art.Find.Cleaning(new CleaningChoices(new PaperTolerance(background, nearArt, ring), edge, fade, paper) { Only = only, Except = except, Inside = inside });
if (only.Count + except.Count > 0)
    Report.Regions("enclosed white", cleaning.Whites, Numbered(cleaning.Whites, only, except));
foreach (var question in cleaning.Questions)
    Report.Ask(question);
if (cleaning.HasNoPaper)
    Report.Note("The picture's edge has no color of paper: nothing is removed. A straight border can fade out, see harden-edges.");
if (cleaning.Removed is { } color)
    Report.Note($"The paper is of {color}, and is removed.");
Report.Note($"{cleaning.Bare.Count:#,0} pixels of background will be bare; {Dust(cleaning.Bare).Count:#,0} of them would have printed.");
Art.LeaveBare(cleaning.Bare, layer: "clean background");
