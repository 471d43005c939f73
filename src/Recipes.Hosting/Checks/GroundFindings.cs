using Recipes.Hosting.Arts;
using Recipes.Hosting.Reports;
using Recipes.Hosting.Words;
using Recipes.Imaging;

namespace Recipes.Hosting.Checks;

/// <summary>What cleaning would take, and grounds with straight sides that print.</summary>
internal static class GroundFindings
{
    public static void Of(Found found, Looked looked, Cleaning cleaning)
    {
        var printed = looked.Printed;
        var dust = cleaning.Bare.Intersect(printed);
        bool rectangle = cleaning.Removed is not null && cleaning.Questions.Any(question => question.Code == Find.PrintedRectangle);
        if (!dust.IsEmpty)
        {
            found.Add(rectangle ? Find.PrintedRectangle : Find.NearWhiteBackground, dust, "clean-background",
                cleaning.Removed is { } color ? $"of paper, {color}, will print{(rectangle ? " as a straight rectangle" : "")}."
                : looked.Setup.Ink.WhiteBare ? "of near-white background, not bare, will print as dust."
                : "of the background will print as a sheet of white: this machine prints white and skips only transparency.");
        }

        if (cleaning.Pockets.Intersect(printed) is { } pockets && pockets.Count >= WhiteQuestions.SmallestAtEdge(looked.Ppi))
        {
            found.Add(Find.NearWhiteBackground, pockets, null,
                $"of near white, in {Found.Count(pockets.Islands().Count, "place")} that art surrounds, none of it pure white, will "
                + "print. Where the garment shall show: clean-background.inside=bare.");
        }

        foreach (var question in cleaning.Questions.Where(question => question.Code is "checkers" or Find.PrintedRectangle && !rectangle))
        {
            if (looked.Decisions.Split(AskedQuestion.Of(question, "clean-background", 0)).Open is not null)
            {
                found.Findings.Add(new Finding(question.Code, question.Message, question.Regions[0].Count, question.Regions[0].Bounds, null));
            }
        }
    }
}
