using System.Collections.Immutable;
using System.Globalization;
using Recipes.Imaging;

namespace Recipes.Hosting.Setups;

/// <summary>A size of a garment.</summary>
/// <param name="Name">As the shop writes it, <c>2XL</c> for instance.</param>
/// <param name="Width">Width that can be printed on, inches; null where the platen alone bounds it.</param>
/// <param name="Height">Height that can be printed on, inches; null likewise.</param>
public sealed record GarmentSize(string Name, double? Width, double? Height);

/// <summary>A garment of the shop's stock: a cloth, its sizes, and the garment setup that it is printed under.</summary>
public sealed record Garment
{
    /// <summary>How it is chosen: small letters, digits and hyphens.</summary>
    public required string Name { get; init; }

    /// <summary>What it is, as the shop calls it.</summary>
    public required string Style { get; init; }

    /// <summary>The cloth's color in a word, or null.</summary>
    public string? Color { get; init; }

    /// <summary>The cloth's color.</summary>
    public required Rgba8 Cloth { get; init; }

    /// <summary>What it is made of, or null.</summary>
    public string? Fiber { get; init; }

    /// <summary>The name of the garment setup that it is printed under.</summary>
    public required string Setup { get; init; }

    /// <summary>False where no white ink is laid on it, whatever the setup says.</summary>
    public bool White { get; init; } = true;

    /// <summary>Its sizes, as the shop lists them.</summary>
    public ImmutableArray<GarmentSize> Sizes { get; init; } = [];

    /// <summary>The file that lists it.</summary>
    public required string File { get; init; }

    /// <summary>
    /// The setup for this garment: the one that it names, with this cloth and this garment's name, so that steps, prints and exports are this garment's.
    /// </summary>
    /// <exception cref="Problems.ProblemException">R1006, R1007: the setup that it names.</exception>
    public GarmentSetup ToSetup()
    {
        var setup = SetupStore.FindSetup(Setup);
        return setup with { Name = Name, Garment = Cloth, Underbase = White ? setup.Underbase : Underbase.None };
    }

    /// <summary>The garment in words, for whoever takes it from the shelf: style, color, fiber.</summary>
    public string InWords() => string.Join(", ", new[] { Style, Color, Fiber }.Where(part => !string.IsNullOrEmpty(part)));

    /// <summary>How much smaller an ink has to be for each size to take it; 1 where all do.</summary>
    /// <param name="width">Width of the ink, inches.</param>
    /// <param name="height">Its height, inches.</param>
    public double Fit(double width, double height) =>
        Sizes.Select(size => Math.Min((size.Width ?? width) / width, (size.Height ?? height) / height)).Append(1).Min();

    /// <summary>The sizes that take less than an ink of this size, in words; null where there are none.</summary>
    /// <param name="width">Width of the ink, inches.</param>
    /// <param name="height">Its height, inches.</param>
    public string? TooSmall(double width, double height)
    {
        string[] small = [.. Sizes.Where(size => Less(size.Width, width) || Less(size.Height, height)).Select(size => size.Name)];
        return small.Length == 0 ? null : string.Create(CultureInfo.InvariantCulture,
            $"The ink is {width:0.00} x {height:0.00} in, more than {string.Join(", ", small)} of {InWords()} can take.");

        // A px of rounding is no fault.
        static bool Less(double? most, double ink) => most is { } inches && ink > inches + 0.01;
    }
}
