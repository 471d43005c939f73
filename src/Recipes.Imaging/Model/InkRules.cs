namespace Recipes.Imaging;

/// <summary>Why a pixel prints or stays bare; under a garment setup every pixel is in exactly one state.</summary>
public enum InkState
{
    /// <summary>Lays ink.</summary>
    Prints,
    /// <summary>Bare because pure white.</summary>
    BareWhite,
    /// <summary>Bare because pure black.</summary>
    BareBlack,
    /// <summary>Bare because alpha is 0.</summary>
    Transparent,
}

/// <summary>How a pixel that is left bare is written.</summary>
public enum BareAs
{
    /// <summary>255,255,255 with alpha 0: bare on machines that skip white and on machines that skip transparency.</summary>
    Both,
    /// <summary>Opaque 255,255,255.</summary>
    White,
    /// <summary>The pixel's own color with alpha 0.</summary>
    Transparent,
}

/// <summary>What stays bare on a machine and garment, and the levels next to it that print.</summary>
public sealed record InkRules
{
    /// <summary>Pure white (255,255,255 at alpha above 0) stays bare.</summary>
    public bool WhiteBare { get; init; } = true;

    /// <summary>Pure black (0,0,0 at alpha above 0) stays bare, so that a black garment shows.</summary>
    public bool BlackBare { get; init; }

    /// <summary>Alpha 0 stays bare. Where false, a pixel of alpha 0 is judged by its color alone.</summary>
    public bool TransparentBare { get; init; } = true;

    /// <summary>The brightest white that prints; 254,254,254 is common practice, no source.</summary>
    public Rgba8 BrightestWhite { get; init; } = new(254, 254, 254);

    /// <summary>The darkest black that prints; 1,1,1 is common practice, no source.</summary>
    public Rgba8 DarkestBlack { get; init; } = new(1, 1, 1);

    /// <summary>How bared pixels are written.</summary>
    public BareAs BareAs { get; init; } = BareAs.Both;

    /// <summary>The state of a pixel: transparent first, then pure white, then pure black, else it prints.</summary>
    public InkState StateOf(Rgba8 pixel)
    {
        if (pixel.IsTransparent && TransparentBare)
        {
            return InkState.Transparent;
        }

        if (WhiteBare && (pixel.R & pixel.G & pixel.B) == 255)
        {
            return InkState.BareWhite;
        }

        return BlackBare && (pixel.R | pixel.G | pixel.B) == 0 ? InkState.BareBlack : InkState.Prints;
    }

    // The nearest level that prints, where a pixel came to stay bare by rounding.
    internal Rgba8 Printing(Rgba8 pixel) => StateOf(pixel) switch
    {
        InkState.BareWhite => BrightestWhite.WithAlpha(pixel.A),
        InkState.BareBlack => DarkestBlack.WithAlpha(pixel.A),
        _ => pixel,
    };

    /// <summary>The pixel that stays bare in this one's place.</summary>
    public Rgba8 Bared(Rgba8 pixel) => BareAs switch
    {
        BareAs.White => Rgba8.White,
        BareAs.Transparent => pixel.WithAlpha(0),
        _ => Rgba8.ClearWhite,
    };
}

/// <summary>How many pixels are in each ink state.</summary>
public sealed record InkCount(long Prints, long BareWhite, long BareBlack, long Transparent)
{
    /// <summary>All pixels.</summary>
    public long Total => Prints + BareWhite + BareBlack + Transparent;

    /// <summary>Counts a flattened state from the summaries of its tiles.</summary>
    public static InkCount Of(Plane<Rgba8> flat, InkRules rules) => Of(TileSummary.Of(flat), rules);

    /// <summary>Reads the ink states off a summary.</summary>
    public static InkCount Of(TileSummary summary, InkRules rules)
    {
        ArgumentNullException.ThrowIfNull(summary);
        ArgumentNullException.ThrowIfNull(rules);
        bool judged = !rules.TransparentBare;
        long white = rules.WhiteBare ? summary.PureWhite + (judged ? summary.ClearWhite : 0) : 0;
        long black = rules.BlackBare ? summary.PureBlack + (judged ? summary.ClearBlack : 0) : 0;
        long transparent = judged ? 0 : summary.Transparent;
        return new InkCount(summary.Total - white - black - transparent, white, black, transparent);
    }
}
