using Recipes.Hosting.Reports;
using Recipes.Imaging;

namespace Recipes.Hosting.Checks;

/// <summary>What remove-halo would take out, where the garment's color shows it.</summary>
internal static class RimFindings
{
    public static void Of(Found found, Looked looked)
    {
        var (art, setup, _) = looked;
        var search = RimSearch.At(looked.Ppi);
        var outside = Find.Outside(art.Flat, Rgba8.White, art.Ground, art.PrintedWhite(setup.Ink));
        var paper = art.Ground.HasPaper ? art.Ground.Paper : Rgba8.White;
        var old = RimQuestions.Shows(paper, setup) ? Rims.Of(outside, paper, search) : null;
        var other = old is { IsEmpty: false } ? null : Rims.Other(outside, Rgba8.White, search);
        found.Questions.AddRange(RimQuestions.Of(old, other, search, setup).Select(question => AskedQuestion.Of(question, "remove-halo", 0)));
        var rim = other ?? old;
        if (rim is null || !RimQuestions.Shows(rim.Background, setup) || rim.Region.Intersect(looked.Printed) is not { IsEmpty: false } halo)
        {
            return;
        }

        bool isWhite = rim.Background == Rgba8.White;
        bool goes = other is null || rim.IsMultiplied;
        string color = isWhite ? "white" : $"{rim.Background}", name = goes ? "" : $" Name that color: remove-halo.background={color}.";
        string look = LabSpace.D50.Of(rim.Background).L > LabSpace.D50.Of(setup.Garment).L ? "pale" : "dark";
        string what = rim.IsMultiplied ? "with colors that the file multiplied by their alpha" : $"with some {color} of an old background";
        // Of another color it stays unless the question is answered; whoever ran the recipe as it is would be sent to it again.
        found.Add("halo", halo, goes ? "remove-halo" : null,
            $"at the edge of the art {what}, {Found.Millimeters(rim.Depth / search.Millimeter)} deep, may show as a {look} rim on this garment.{name}");
    }
}
