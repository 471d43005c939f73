using System.Globalization;

namespace Recipes.Hosting.Tickets;

/// <summary>How many pieces an order is for.</summary>
internal static class PieceCount
{
    /// <summary>The most pieces of one order.</summary>
    public const int Most = 100_000;

    /// <summary>Whether a text is a number of pieces, a whole one from 1 to <see cref="Most"/>.</summary>
    public static bool Is(string text, out int pieces) =>
        int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out pieces) && pieces is >= 1 and <= Most;
}
