using System.Collections.Immutable;
using System.Globalization;

namespace Recipes.Imaging;

/// <summary>What somebody said about cleaning a background.</summary>
/// <param name="Tolerance">How far from the paper's color it may be.</param>
/// <param name="Edge">White at the picture's edge: <c>ask</c> leaves it and asks, <c>bare</c> cleans it too, <c>keep</c> leaves it.</param>
/// <param name="Fade">Pale color that runs out into the paper: <c>ask</c> keeps it and asks, <c>keep</c>, <c>bare</c> cleans what is pale.</param>
/// <param name="Paper">
/// Paper that isn't white, and other grounds with straight sides: <c>ask</c> does the usual and asks, <c>remove</c>, or <c>keep</c> lets it print.
/// </param>
public sealed record CleaningChoices(PaperTolerance Tolerance, string Edge = "ask", string Fade = "ask", string Paper = "ask")
{
    /// <summary>
    /// Paper that isn't white, or of which a lossy file left no px purely so, and that art surrounds: <c>ask</c> cleans holes of letters, and the
    /// rest where white hardly shows on the cloth, and asks; <c>bare</c> cleans all of it, <c>keep</c> leaves all but holes of letters.
    /// </summary>
    public string Inside { get; init; } = "ask";

    /// <summary>Numbers of whites to clean, and no others at the edge; none for as <see cref="Edge"/> says.</summary>
    public IReadOnlyList<int> Only { get; init; } = [];

    /// <summary>Numbers of whites at the edge to leave while the others are cleaned; none for as <see cref="Edge"/> says.</summary>
    public IReadOnlyList<int> Except { get; init; } = [];
}

/// <summary>What cleaning a background makes bare, and what it had to guess.</summary>
public sealed class Cleaning
{
    // White on cloth that is hardly another color shows as little printed as bare: CIEDE2000, as for a pale rim.
    private const double Hardly = 10;

    // Smaller fades, and smaller places where paper shows, are no question; square millimeters. Ours.
    private const double Smallest = 1;

    // Smaller pockets are specks; square millimeters, common practice, no source.
    private const double Speck = 0.06;

    // How far from white the background may be in the walk that numbers whites: as printable-whites has it.
    private const int Near = 24;

    // White of fewer px is noise beside a hole, not art. Ours.
    private const int Crumb = 48;

    private readonly Artwork art;
    private readonly GarmentSetup setup;
    private readonly CleaningChoices choices;
    private readonly Lazy<Islands> whites;
    private readonly Lazy<WhiteHoles> holes;
    private readonly Lazy<Region> pockets;
    private readonly List<Question> questions = [];

    // What the figure is held to lie on, and whether its paper is no even white: then it shows through holes of letters as well.
    private Ground lies;
    private bool isMarked;
    private WhiteSheet? sheet;

    private Cleaning(Artwork art, GarmentSetup setup, CleaningChoices choices, Islands? known, WhiteHoles? knownHoles)
    {
        this.art = art;
        this.setup = setup;
        this.choices = choices;
        lies = art.Ground;
        holes = new Lazy<WhiteHoles>(() => knownHoles ?? Find.HolesAmong(art.Flat, Whites, Near, setup.ResolutionFor(art)));
        whites = new Lazy<Islands>(() => known ?? Find.NumberedWhites(art.Flat, art.Ground, Near));
        var walk = Walk();
        Bare = DustInLetters(walk, Fades(walk, AtEdge(walk)));
        pockets = new Lazy<Region>(() => PocketsIn(walk));
        Bare = choices.Inside == "bare" && IsOnWhite ? Bare.Union(pockets.Value) : Bare;
    }

    /// <summary>What becomes bare, clear pixels and pixels of the paper's very color included.</summary>
    public Region Bare { get; }

    /// <summary>
    /// Near white that art on white paper surrounds and that holds no pure white, which would be numbered: paper of which a lossy file left none pure, or
    /// drawn. It prints, but for where <see cref="CleaningChoices.Inside"/> is <c>bare</c>. Empty where white hardly shows on the cloth.
    /// </summary>
    public Region Pockets => pockets.Value;

    /// <summary>The numbered whites that numbers choose from.</summary>
    public Islands Whites => whites.Value;

    /// <summary>What it had to guess.</summary>
    public IReadOnlyList<Question> Questions => questions;

    /// <summary>The paper that isn't white and becomes bare, in words; null where there is none.</summary>
    public string? Removed { get; private set; }

    /// <summary>True where paper shall be removed, and the picture's edge is of no color that paper has.</summary>
    public bool HasNoPaper { get; private set; }

    /// <summary>What <c>clean-background</c> does to an art: the same for the recipe and for a check.</summary>
    /// <param name="art">The art.</param>
    /// <param name="setup">What stays bare, the cloth, and the resolution where the art has none.</param>
    /// <param name="choices">What somebody said.</param>
    /// <param name="whites">The numbered whites, where they are known already.</param>
    /// <param name="holes">Which of them look like holes, where that is known already.</param>
    public static Cleaning Of(Artwork art, GarmentSetup setup, CleaningChoices choices, Islands? whites = null, WhiteHoles? holes = null)
    {
        ArgumentNullException.ThrowIfNull(art);
        ArgumentNullException.ThrowIfNull(setup);
        ArgumentNullException.ThrowIfNull(choices);
        return new Cleaning(art, setup, choices, whites, holes);
    }

    // The walk over whatever lies around the figure, as it is said to be or as it is proposed.
    private PaperWalk Walk()
    {
        var ground = art.Ground;
        if (!ground.IsCutOut && Find.Checkers(art.Flat, ground.Edge) is { } checkers)
        {
            Ask("checkers", string.Create(CultureInfo.InvariantCulture,
                $"Checkers of {checkers.Square:0.#} px, as programs show transparency, are part of the picture: ask for the file itself, or remove them?"),
                ground.Edge, "they stay as they are", "paper=remove");
            return choices.Paper == "remove" ? Removing(ground with { Kind = ArtKind.OnPaper }, checkers) : On(Clear);
        }

        if (ground.IsCutOut && WhiteSheet.In(art.Flat) is { } found)
        {
            // Where pure white stays bare the sheet does so anyway, but its grain, and its mixes with the art and the cloth, would print.
            bool bare = setup.Ink.WhiteBare && !found.IsCard, goes = bare ? choices.Paper != "keep" : choices.Paper == "remove";
            if (Shows(found.Paper, setup))
            {
                string what = found.IsCard ? "A white card with round corners" : "Straight-sided white";
                Ask(Find.PrintedRectangle, $"{what} lies behind the art of this cut-out: a sheet to remove, or art?", found.Bounds,
                    bare ? "it is removed" : setup.Ink.WhiteBare ? "it stays" : "it prints as it is", bare ? "paper=keep" : "paper=remove");
            }

            if (goes)
            {
                sheet = found;
                return OnSheet(Removing(new Ground(ArtKind.OnPaper, found.Paper, found.Bounds)), found);
            }
        }

        return ground.IsCutOut ? On(Clear) : ground.HasPaper ? OnPaper(ground) : InFrame(ground);
    }

    private Ground Clear => art.Ground with { Kind = ArtKind.CutOut };

    private PaperWalk Removing(Ground ground, Checkers? checkers = null)
    {
        (lies, isMarked) = (ground, true);
        return On(ground, checkers);
    }

    // White art beside the sheet is none of it.
    private PaperWalk OnSheet(PaperWalk walk, WhiteSheet found) => walk with
    {
        Reached = found.Of(walk.Reached).Union(On(Clear).Reached),
        Edge = found.Of(walk.Edge),
        Fade = found.Of(walk.Fade),
    };

    private PaperWalk InFrame(Ground ground)
    {
        var paper = Ground.PaperAt(art.Flat, ground.Edge);
        var walk = paper is { } color && choices.Paper == "remove" ? Removing(ground with { Kind = ArtKind.OnPaper, Paper = color }) : On(Clear);
        HasNoPaper = choices.Paper == "remove" && paper is null;
        if (BorderShows(art.Flat, ground.Edge, setup))
        {
            string orPaper = paper is null ? "" : ", or is there paper to remove";
            Ask(Find.PrintedRectangle, $"The picture fills its frame, and on this cloth it prints as a straight rectangle: is that wanted{orPaper}?",
                ground.Edge, paper is null ? "it prints as it is, and stays a question" : "it prints as it is", paper is null ? "paper=keep" : "paper=remove");
        }

        return walk;
    }

    private PaperWalk OnPaper(Ground ground)
    {
        var found = On(ground);
        if (ground.Paper != Rgba8.White && !found.Reached.Except(Find.Transparent(art.Flat)).IsEmpty)
        {
            string color = string.Create(CultureInfo.InvariantCulture, $"{ground.Paper.R},{ground.Paper.G},{ground.Paper.B}");
            if (Shows(ground.Paper, setup))
            {
                Ask(Find.PrintedRectangle,
                    $"The art lies on paper of {color}, which would print as a straight rectangle: is that paper to remove, or wanted?",
                    ground.Edge, "the paper is removed", "paper=keep");
            }

            Removed = choices.Paper == "keep" ? null : color;
        }

        var walk = choices.Paper == "keep" ? On(Clear) : found;
        if (walk.Photograph is { } photograph && ground.Paper == Rgba8.White && Shows(Rgba8.White, setup))
        {
            Ask(Find.PrintedRectangle, "A photograph on the paper prints as a straight rectangle on this cloth: is that wanted?",
                photograph, "it prints as it is", "paper=remove");
        }

        return walk;
    }

    private PaperWalk On(Ground ground, Checkers? checkers = null) =>
        Find.Background(art.Flat, ground, art.PrintedWhite(setup.Ink), choices.Tolerance, checkers);

    private void Ask(string code, string message, Box where, string proposal, string answer)
    {
        var island = new Island(1, where, (long)where.Width * where.Height, where.X, where.Y);
        questions.Add(new Question(code, message, [island], proposal, answer, choices.Paper != "ask" && !HasNoPaper));
    }

    private Region AtEdge(PaperWalk walk)
    {
        if (choices.Only.Count > 0)
        {
            return walk.Reached.Except(walk.Edge).Union(walk.PartsAt(Whites.Pick(white => choices.Only.Contains(white.Number))));
        }

        if (walk.Edge.IsEmpty || (choices.Edge == "bare" && choices.Except.Count == 0))
        {
            return walk.Reached;
        }

        if (choices.Except.Count > 0)
        {
            return walk.Reached.Except(walk.PartsAt(Whites.Pick(white => choices.Except.Contains(white.Number))).Intersect(walk.Edge));
        }

        // Gaps between letters are paper: nothing is lost with them. Where whites at the edge are to stay, only their dust goes.
        if (Find.AreGaps(walk))
        {
            return choices.Edge == "ask" ? walk.Reached : walk.Reached.Except(walk.Edge.Except(Find.Printing(art.Flat, setup.Ink)));
        }

        var touched = Whites.Touching(walk.Edge);
        double smallest = WhiteQuestions.SmallestAtEdge(setup.ResolutionFor(art));
        ImmutableArray<Island> asked = [.. Whites.Where(white => touched[white.Number] && white.Class == Find.EdgeWhite && white.Count >= smallest)];
        if (asked.Length > 0 && Shows(Rgba8.White, setup))
        {
            questions.Add(new Question(Find.EdgeWhite, string.Create(CultureInfo.InvariantCulture,
                $"White runs off the picture in {(asked.Length == 1 ? "1 place" : $"{asked.Length} places")}: is it art, or paper to clean?"),
                asked, "it is left as it is", "edge=bare", choices.Edge != "ask"));
        }

        return walk.Reached.Except(walk.Edge);
    }

    // Holes of lettering are paper unless somebody says otherwise; their pure white is bare as it is, and stays for that question.
    private Region DustInLetters(PaperWalk walk, Region bare)
    {
        if (choices.Only.Count > 0 || !lies.HasPaper)
        {
            return bare;
        }

        if (isMarked || lies.Paper != Rgba8.White)
        {
            // What somebody wants to keep prints everywhere.
            var paper = choices.Paper == "keep" ? null : Find.PaperHolesAmong(art.Flat, walk, Whites, Near, setup.ResolutionFor(art));
            bare = paper is null ? bare : bare.Union(walk.PartsAt(sheet?.Of(paper) ?? paper));
            return isMarked || choices.Paper == "keep" ? bare : PaperInside(walk, bare);
        }

        if (!WhiteQuestions.Shows(setup))
        {
            return bare;
        }

        if (holes.Value.Region is not { IsEmpty: false } region)
        {
            return bare;
        }

        // Noise of white art beside them may look like a hole.
        var known = holes.Value.Bare.ToHashSet();
        var around = walk.PartsAt(region).Except(walk.PartsAt(Whites.Pick(white => !known.Contains(white.Number) && white.Count >= Crumb)));
        return bare.Union(around.Intersect(Find.Printing(art.Flat, setup.Ink)));
    }

    // What lies on white paper is drawn white where it isn't paper; on paper of another color that color is paper everywhere, also where a customer left
    // it for a white. Light cloth shows about as it would.
    private Region PaperInside(PaperWalk walk, Region bare)
    {
        double millimeter = setup.ResolutionFor(art) / 25.4;
        if (walk.Enclosed is not { } enclosed || enclosed.Except(bare).AtLeast(Smallest * millimeter * millimeter) is not { IsEmpty: false } inside)
        {
            return bare;
        }

        bool goes = !Shows(Rgba8.White, setup);
        if (Shows(lies.Paper, setup))
        {
            var places = inside.Islands();
            questions.Add(new Question(Find.PrintedRectangle, string.Create(CultureInfo.InvariantCulture,
                $"Art surrounds paper in {(places.Count == 1 ? "1 place" : $"{places.Count} places")}: shall the garment show there, or is it drawn?"),
                [.. places], goes ? "it is removed" : "it prints as it is", goes ? "inside=keep" : "inside=bare", choices.Inside != "ask"));
        }

        return choices.Inside == "bare" || (goes && choices.Inside == "ask") ? bare.Union(inside) : bare;
    }

    private bool IsOnWhite => !isMarked && lies.HasPaper && lies.Paper == Rgba8.White && Shows(Rgba8.White, setup);

    private Region PocketsIn(PaperWalk walk)
    {
        var none = walk.Reached.Except(walk.Reached);
        if (!IsOnWhite || walk.Parts is not var (passable, parts))
        {
            return none;
        }

        double millimeter = setup.ResolutionFor(art) / 25.4;
        var numbered = Whites.Select(white => parts.NumberAt(white.FirstX, white.FirstY)).ToHashSet();
        bool[] wanted = parts.AtLeast(Speck * millimeter * millimeter);
        for (int number = 1; number < wanted.Length; number++)
        {
            wanted[number] = wanted[number] && !numbered.Contains(number) && parts[number] is var part && !walk.Reached.Contains(part.FirstX, part.FirstY)
                && walk.Photograph?.Contains(part.FirstX, part.FirstY) != true && IsAboutPaper(parts, part);
        }

        return wanted.Contains(true) ? passable.With(parts.Keep(passable.Coverage, wanted)) : none;
    }

    // Whether most of a part is as near to the paper as the background may be; looked at in a raster.
    private bool IsAboutPaper(ConnectedRegions parts, Island part)
    {
        const int Raster = 48;
        int seen = 0, about = 0, step = Math.Max(1, Math.Max(part.Bounds.Width, part.Bounds.Height) / Raster);
        for (int y = part.Bounds.Y; y < part.Bounds.Bottom; y += step)
        {
            for (int x = part.Bounds.X; x < part.Bounds.Right; x += step)
            {
                bool isIn = parts.NumberAt(x, y) == part.Number;
                seen += isIn ? 1 : 0;
                about += isIn && art.Flat[x, y].LargestDifference(lies.Paper) <= choices.Tolerance.Background ? 1 : 0;
            }
        }

        return about * 2 > seen;
    }

    private Region Fades(PaperWalk walk, Region bare)
    {
        double millimeter = setup.ResolutionFor(art) / 25.4;
        var fade = walk.Fade.Except(bare).AtLeast(Smallest * millimeter * millimeter);
        if (fade.IsEmpty)
        {
            return bare;
        }

        string area = string.Create(CultureInfo.InvariantCulture, $"{fade.Count / (millimeter * millimeter * 100):0.0##}");
        questions.Add(new Question(Find.NearWhiteBackground,
            $"Cleaning could take {area} cm2 of pale color that runs out into the paper: keep the fade?",
            [.. fade.Islands()], "the fade is kept", "fade=bare", choices.Fade != "ask"));
        return choices.Fade == "bare" ? bare.Union(fade) : bare;
    }

    /// <summary>True where a color shows on the garment: white only where white ink is laid.</summary>
    internal static bool Shows(Rgba8 color, GarmentSetup setup) => (color != Rgba8.White || setup.Underbase != Underbase.None)
        && Math.Round(Ciede2000.Difference(LabSpace.D50.Of(setup.Garment), LabSpace.D50.Of(color)), 6) > Hardly;

    // True where over half of the border prints in colors that contrast with the cloth: the picture's frame will show.
    private static bool BorderShows(Plane<Rgba8> art, Box picture, GarmentSetup setup)
    {
        var border = Find.Border(art, picture);
        var shows = new Dictionary<Rgba8, bool>();
        long count = 0;
        foreach (var pixel in border)
        {
            if (setup.Ink.StateOf(pixel) != InkState.Prints)
            {
                continue;
            }

            var color = pixel.WithAlpha(255);
            if (!shows.TryGetValue(color, out bool shown))
            {
                shows[color] = shown = Shows(color, setup);
            }

            count += shown ? 1 : 0;
        }

        return count * 2 > border.Length;
    }
}
