namespace Recipes.Work;

/// <summary>What is remembered of a real print, so that a repeat can be compared with it. Kept and given back as it came.</summary>
public sealed record PrintRecord
{
    /// <summary>The step that was printed; 0 is the original.</summary>
    public required int Step { get; init; }

    /// <summary>The hash of the printed step's flattened pixels, lower-case hex.</summary>
    public required string PixelsSha256 { get; init; }

    /// <summary>True where the print came out as it should.</summary>
    public required bool IsGood { get; init; }

    /// <summary>What whoever looked at it has to say; at most 4 KiB.</summary>
    public required string Note { get; init; }

    /// <summary>
    /// What went wrong, by the name of its cause: small letters, digits and hyphens, at most 80; null where none was named, or nothing went wrong.
    /// </summary>
    public string? Cause { get; init; }

    /// <summary>What a bad print cost, or null.</summary>
    public PrintCost? Cost { get; init; }

    /// <summary>The garment setup in full, with its lots and its chart, as JSON; at most 256 KiB.</summary>
    public required string SetupJson { get; init; }

    /// <summary>Who looked at it (<c>--by</c>), or null.</summary>
    public string? By { get; init; }

    /// <summary>When it was told.</summary>
    public required DateTimeOffset At { get; init; }
}
