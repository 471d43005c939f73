using Recipes.Hosting.Reports;
using Recipes.Imaging;

namespace Recipes.Hosting.Checks;

/// <summary>White that art surrounds or that runs off, and what lies around the figure.</summary>
internal static class WhiteFindings
{
    public static Cleaning Of(Found found, Looked looked, Islands islands, ArtKind? hint)
    {
        var (art, setup, _) = looked;
        var holes = WhiteQuestions.Shows(setup) ? Find.HolesAmong(art.Flat, islands, ArtCheck.Near, looked.Ppi) : null;
        Whites(found, looked, islands, holes);
        if (hint is ArtKind.OnPaper or ArtKind.Mixed && art.Ground.IsCutOut
            && WhiteQuestions.OnceOnPaper(art.Flat, islands, ArtCheck.Near, setup, looked.Ppi) is { } once)
        {
            found.Questions.Add(AskedQuestion.Of(once, "printable-whites", 0));
        }

        var cleaning = Cleaning.Of(art, setup, new CleaningChoices(PaperTolerance.At(looked.Ppi)), islands, holes);
        GroundFindings.Of(found, looked, cleaning);
        // White at the edge is asked about in the name of the recipe that makes it print, where one does.
        found.Questions.AddRange(cleaning.Questions.Where(question => question.Code != Find.EdgeWhite || !WhiteQuestions.Shows(setup))
            .Select(question => AskedQuestion.Of(question, "clean-background", 0)));
        return cleaning;
    }

    private static void Whites(Found found, Looked looked, Islands whites, WhiteHoles? holes)
    {
        var (art, setup, decisions) = looked;
        if (setup.Underbase == Underbase.None)
        {
            WithoutWhiteInk(found, looked, whites);
            return;
        }

        if (!setup.Ink.WhiteBare)
        {
            return;
        }

        double smallest = WhiteQuestions.SmallestAtEdge(looked.Ppi);
        var sheets = holes?.Sheets.ToHashSet() ?? [];
        // What the recipe leaves unless somebody answers, and nobody is asked where it doesn't show, is no advice.
        var edge = holes is null ? (Find.EdgeWhite, "running off the picture, will stay bare, which hardly shows on this cloth.", null)
            : (Find.EdgeWhite, "running off the picture, will stay bare. Paper may; art must print.", "printable-whites");
        foreach (var (code, what, recipe) in (ReadOnlySpan<(string, string, string?)>)
            [edge, (Find.EnclosedWhite, "that art surrounds, will stay bare. Decide which of them must print.", "printable-whites")])
        {
            int open = 0;
            var left = whites.Pick(white =>
            {
                bool undecided = white.Class == code && !sheets.Contains(white.Number) && (code == Find.EnclosedWhite || white.Count >= smallest)
                    && decisions.About(Decisions.WhitesRecipe, code, white.Bounds) is null;
                open += undecided ? 1 : 0;
                return undecided;
            });
            if (open > 0)
            {
                found.Add(code, left, recipe, $"of pure white, in {Found.Count(open, "region")} {what}");
            }
        }

        if (holes is not null)
        {
            // A sheet is asked about in the name of the recipe that removes it.
            found.Questions.AddRange(WhiteQuestions.Of(whites, holes, setup, looked.Ppi).Where(question => question.Code != Find.PrintedRectangle)
                .Select(question => AskedQuestion.Of(question, "printable-whites", 0)));
        }

        Decided(found, whites, decisions);
    }

    private static void WithoutWhiteInk(Found found, Looked looked, Islands whites)
    {
        // Nothing that anybody decides would show, so it is one thing to know and none to do. Whites that a recipe made to print don't either.
        var white = whites.Pick(_ => true);
        white = looked.Art.PrintedWhite(looked.Setup.Ink) is { } made ? white.Union(made) : white;
        if (!white.IsEmpty)
        {
            found.Add(Find.EnclosedWhite, white, null,
                $"of white, in {Found.Count(white.Islands().Count, "region")} that art surrounds, that runs off the picture or that was made to print, "
                    + "will be the cloth's color: this setup lays no white ink.");
        }
    }

    // What nobody asks about may have been decided too.
    private static void Decided(Found found, Islands whites, Decisions decisions)
    {
        var asked = found.Questions.SelectMany(question => question.Regions).Select(region => region.Number).ToHashSet();
        foreach (var decided in whites.Where(white => !asked.Contains(white.Number))
            .GroupBy(white => (white.Class, Words: decisions.About(Decisions.WhitesRecipe, white.Class, white.Bounds)))
            .Where(group => group.Key.Words is not null))
        {
            found.Questions.Add(AskedQuestion.Of(
                new Question(decided.Key.Class, $"White {WhiteQuestions.Numbers(decided)}:", [.. decided], "", ""), "printable-whites", 0));
        }
    }
}
