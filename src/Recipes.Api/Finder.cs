using Recipes.Imaging;

namespace Recipes.Api;

/// <summary>Finds regions in the art as it stands, all layers put together.</summary>
public sealed class Finder
{
    private readonly ArtCursor art;
    private readonly GarmentSetup setup;

    internal Finder(ArtCursor art, GarmentSetup setup)
    {
        this.art = art;
        this.setup = setup;
    }

    private InkRules Rules => setup.Ink;

    private Plane<Rgba8> Flat => art.Artwork.Flat;

    // Paper that isn't white goes before this, but for its mixes.
    private Rgba8 Old(Rgba8 background) => background == Rgba8.White && art.Artwork.Ground.HasPaper ? art.Artwork.Ground.Paper : background;

    private Region Found(Region region) => region.On(art.Artwork.Ground);

    /// <summary>Every pixel of 255,255,255 at alpha above 0.</summary>
    public Region PureWhite() => Found(Find.PureWhite(Flat));

    /// <summary>
    /// Pure white in one numbered list: what art surrounds, then what runs off the picture and holds no corner of it. An
    /// island's class says which: <c>enclosed-white</c> or <c>edge-white</c>.
    /// </summary>
    /// <param name="near">How far from white the background may be for a walk from the border to pass, in levels.</param>
    public Islands NumberedWhites(int near = 24) => Find.NumberedWhites(Flat, art.Artwork.Ground, near);

    /// <summary>Which of the numbered whites look like holes of letters and rings; none where the garment doesn't show whether white prints.</summary>
    /// <param name="whites">From <see cref="NumberedWhites"/>.</param>
    /// <param name="near">The levels with which they were found.</param>
    public WhiteHoles HolesAmong(Islands whites, int near = 24) =>
        Imaging.WhiteQuestions.Shows(art.Setup) ? Find.HolesAmong(Flat, whites, near, art.PixelsPerInch) : WhiteHoles.None;

    /// <summary>What is left of the paper around holes that stay bare; nothing where the garment doesn't show it.</summary>
    /// <param name="holes">From <see cref="HolesAmong"/>.</param>
    /// <param name="others">Whites that stay bare too.</param>
    /// <param name="printing">White that prints; a hole with some of it stays as it is.</param>
    /// <param name="near">The levels with which they were found.</param>
    public Rim RimOfHoles(WhiteHoles holes, Region others, Region printing, int near = 24)
    {
        ArgumentNullException.ThrowIfNull(holes);
        ArgumentNullException.ThrowIfNull(others);
        var bare = holes.Region is { } region ? others.Union(region) : others;
        return Rims.OfHoles(Imaging.WhiteQuestions.Shows(art.Setup) ? Found(bare) : bare.Except(bare), printing, near, Search(null));
    }

    /// <summary>What has to be asked about the numbered whites: at most a few questions, and none where it doesn't show.</summary>
    /// <param name="whites">From <see cref="NumberedWhites"/>.</param>
    /// <param name="holes">From <see cref="HolesAmong"/>.</param>
    public IReadOnlyList<Question> WhiteQuestions(Islands whites, WhiteHoles holes) => Imaging.WhiteQuestions.Of(whites, holes, art.Setup, art.PixelsPerInch);

    /// <summary>Every pixel of 0,0,0 at alpha above 0.</summary>
    public Region PureBlack() => Found(Find.PureBlack(Flat));

    /// <summary>
    /// What a person would measure of the art: what prints, and white that art surrounds, without the paper around it, its dust and specks that stand alone.
    /// </summary>
    public Region Figure() => Found(Imaging.Figure.Of(art.Artwork, setup));

    /// <summary>Every pixel of alpha 0.</summary>
    public Region Transparent() => Found(Find.Transparent(Flat));

    /// <summary>Every pixel within a CIEDE2000 difference (Lab D50) of a color, at alpha above 0.</summary>
    public Region Like(Rgba8 color, double within) => Found(Find.Like(Flat, color, within));

    /// <summary>
    /// How much of every pixel is a color: 255 within a CIEDE2000 difference (Lab D50) of it, and in the mixes of anti-aliased
    /// edges and thin lines the color's share.
    /// </summary>
    public Region Share(Rgba8 color, double within) => SharedColor.ShareOf(Flat, color, within);

    /// <summary>The same, and the thin lines that may be of the color but cover less than a pixel of it, and so are left whole.</summary>
    public SharedColor ShareAndLines(Rgba8 color, double within) => SharedColor.Of(Flat, color, within);

    /// <summary>
    /// Specks and pinholes smaller than so many px2 that stand alone, told apart into dirt and what may be a pattern of dots or
    /// grain.
    /// </summary>
    public Dirt Dirt(double area) => Find.Dirt(Flat, Rules, area);

    /// <summary>
    /// Printed islands smaller than so many px2 that stand alone on bare ground and are no pattern. Islands hang together at
    /// corners too.
    /// </summary>
    public Region Specks(double area) => Find.Specks(Flat, Rules, area);

    /// <summary>
    /// Bare holes in printed art smaller than so many px2 that stand alone and are no pattern. Holes don't hang together at
    /// corners.
    /// </summary>
    public Region Pinholes(double area) => Find.Pinholes(Flat, Rules, area);

    /// <summary>
    /// What lies outside the art: transparent pixels, and those of a flat background color that a walk from the border
    /// reaches, but for whites made printable; only transparent ones where most of the picture's edge is transparent.
    /// </summary>
    public Region Outside(Rgba8 background) => Found(Find.Outside(Flat, background, art.Artwork.Ground, art.Artwork.PrintedWhite(Rules)));

    /// <summary>Every pixel outside of a box.</summary>
    public Region Outside(Box box) => Find.Outside(Flat, box);

    /// <summary>
    /// The smallest honest test print: a square of at most 2 in that shows as many as any other of the main colors, the darkest
    /// area, the thinnest lines and the finest detail. Null where nothing prints.
    /// </summary>
    public TestBox? TestBox() => Imaging.TestBox.Smallest(Flat, Rules, art.PixelsPerInch);

    /// <summary>What of these a box shows and leaves out. Null where nothing in it prints.</summary>
    public TestBox? TestBox(Box box) => Imaging.TestBox.At(Flat, Rules, art.PixelsPerInch, box);

    /// <summary>Pixels within so many px of the outside that hold some of an old background; coverage is how much of each is art.</summary>
    public Region Halo(Region outside, Rgba8 background, double width) => Rims.Of(outside, background, Search(width)).Mixed;

    /// <summary>
    /// What is left of an old background around the art: what is nothing else, what holds some of it, a band of its color that may be
    /// drawn, and how deep it lies.
    /// </summary>
    /// <param name="outside">What is outside, from <see cref="Outside(Rgba8)"/>.</param>
    /// <param name="background">The old background's color; white stands for the paper that the art lies on.</param>
    /// <param name="width">How deep to look, px; as deep as rims are, 2 mm, where null.</param>
    /// <param name="band">Whether a band round the art is old background; judged where null.</param>
    public Rim Rim(Region outside, Rgba8 background, double? width = null, bool? band = null) =>
        Rims.Of(outside, Old(background), Search(width) with { TakeBand = band });

    /// <summary>The rim of another background than the one named: of black, or of colored paper. Null where there is none.</summary>
    /// <param name="outside">What is outside.</param>
    /// <param name="background">The background named.</param>
    /// <param name="width">How deep to look, px; as deep as rims are, 2 mm, where null.</param>
    public Rim? OtherRim(Region outside, Rgba8 background, double? width = null) => Rims.Other(outside, background, Search(width));

    /// <summary>What has to be asked about the rim, with the parameters that answer it; none where it doesn't show on the garment.</summary>
    /// <param name="rim">From <see cref="Rim"/>.</param>
    /// <param name="other">From <see cref="OtherRim"/>, or null.</param>
    /// <param name="band">As given to <see cref="Rim"/>: an answer decides.</param>
    public IReadOnlyList<Question> RimQuestions(Rim rim, Rim? other, bool? band = null) =>
        Imaging.RimQuestions.Of(rim, other, Search(null) with { TakeBand = band }, art.Setup);

    private RimSearch Search(double? width)
    {
        var search = RimSearch.At(art.PixelsPerInch);
        return width is { } px ? search with { Deepest = px } : search;
    }

    /// <summary>Pixels of alpha 1 to 254; coverage is their alpha.</summary>
    public Region PartlyTransparent() => Found(Find.PartlyTransparent(Flat));

    /// <summary>Where partial alpha is wider than the soft band of an edge: shadows, glows, fades; and what of it is seen on the garment.</summary>
    public SoftZones SoftZones() => Find.SoftZones(Flat, setup);

    /// <summary>Every pixel for which the rule says yes; a pixel has R, G, B and A.</summary>
    public Region Where(Func<Rgba8, bool> rule) => Found(Find.Where(Flat, rule));

    /// <summary>Every pixel with L* and chroma (Lab D50) at most so much, at alpha above 0.</summary>
    public Region NearBlack(double lightness, double chroma) => Found(Find.NearBlack(Flat, lightness, chroma));

    /// <summary>
    /// Near-black judged by its connected shapes: what is drawn, as outlines, lettering and flat shapes are, with the noise of a JPEG
    /// in it, and what runs into a fade.
    /// </summary>
    public DrawnBlack DrawnBlack(double lightness, double chroma) => Find.DrawnBlack(Flat, lightness, chroma);

    /// <summary>
    /// The background reached from the picture's edge: transparent, or so many levels from the paper's color; near the art, within
    /// <paramref name="ring"/> px of it, <paramref name="nearArt"/> levels. Fades, whites that an earlier step made printable and
    /// whites that run off the picture are art; of cut-outs and full-frame art only clear pixels are background.
    /// </summary>
    public Region Background(int background, int nearArt, double ring) => Cleaning(new CleaningChoices(new PaperTolerance(background, nearArt, ring))).Bare;

    /// <summary>What cleaning the background makes bare, as somebody chose, and what has to be asked about it.</summary>
    /// <param name="choices">What somebody said.</param>
    public Cleaning Cleaning(CleaningChoices choices) => Imaging.Cleaning.Of(art.Artwork, art.Setup, choices);
}
