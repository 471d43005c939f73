using System.Collections.Immutable;
using System.Globalization;

namespace Recipes.Imaging;

/// <summary>
/// A place on a garment that has a name, for one garment size. The figures lie in <c>print-places.csv</c>; they are common practice, without a source.
/// </summary>
/// <param name="Name">Its name, for instance <c>left-chest</c>.</param>
/// <param name="Size">The garment size: <c>adult</c>, <c>large</c> or <c>youth</c>.</param>
/// <param name="BelowCollar">From the collar's lower edge to the top of the ink, inches.</param>
/// <param name="Width">Width of the box that the ink fits into, inches.</param>
/// <param name="Height">Height of that box, inches.</param>
/// <param name="FromCenter">From the garment's middle to the middle of the ink, to the right as one looks at it, inches.</param>
public sealed record PrintPlace(string Name, string Size, double BelowCollar, double Width, double Height, double FromCenter)
{
    private static readonly Lazy<ImmutableArray<PrintPlace>> Read = new(() => [.. Lines().Where(line => line.Length > 0 && line[0] != '#').Skip(1).Select(Of)]);

    /// <summary>All of them, in the order of the file.</summary>
    public static ImmutableArray<PrintPlace> All => Read.Value;

    /// <summary>The place of a name for a garment size.</summary>
    /// <param name="name">Its name.</param>
    /// <param name="size">The garment size.</param>
    /// <exception cref="ArgumentException">There is none.</exception>
    public static PrintPlace Of(string name, string size) => All.FirstOrDefault(place => place.Name == name && place.Size == size)
        ?? throw new ArgumentException($"There is no place '{name}' for the size '{size}'.", nameof(name));

    private static PrintPlace Of(string line)
    {
        string[] cells = line.Split(',');
        return new PrintPlace(cells[0], cells[1], Number(2), Number(3), Number(4), Number(5));

        double Number(int at) => double.Parse(cells[at], CultureInfo.InvariantCulture);
    }

    private static string[] Lines()
    {
        using var reader = new StreamReader(typeof(PrintPlace).Assembly.GetManifestResourceStream("print-places.csv")!);
        return reader.ReadToEnd().Split('\n', StringSplitOptions.TrimEntries);
    }
}
