Recipe.Title("Swap a color");
Recipe.Purpose("Replaces a color everywhere it occurs, connected or scattered, and its mixes on anti-aliased edges and thin lines. Other colors, however near in hue, stay.");
Recipe.Version(2);
Recipe.Example("recipes dry-run swap-color puffin.png --set from=#f07c1c --set to=#c8102e");

var from = Param.Color("from", "", help: "The color to replace");
var to = Param.Color("to", "", help: "The color to put in its place");
var within = Param.Number("within", 3, min: 0, max: 50, help: "How far a pixel may be from it, CIEDE2000");
var shade = Param.Choice("shade", ["flat", "keep"], help: "flat makes one color of it; keep keeps photographic shading");

var found = Art.Find.ShareAndLines(from, within);
var share = found.Share;
if (share.IsEmpty)
    Report.Note($"No pixel is within {within} of {from}, nor a mix of it; nothing to change.");
else
    Report.Note($"{Art.Find.Like(from, within).Count:#,0} pixels are within {within} of {from}; with mixes on edges, {share.Count:#,0} hold some of it.");
Art.SwapColor(share, from, to, layer: "swapped color", keepShading: shade == "keep");

var left = found.LinesLeft.Islands(diagonal: true);
if (left.Count > 0)
{
    Report.Regions("thin lines that stay", left, found.LinesLeft.Except(found.LinesLeft));
    bool one = left.Count == 1;
    Report.Note($"{left.Count:#,0} thin {(one ? "line holds" : "lines hold")} less than a pixel of {from} across, or of a paler color of its hue, and "
        + $"{(one ? "stays" : "stay")} whole. Look whether {(one ? "it" : "they")} should change.");
}
