using System.Globalization;
using Recipes.Imaging;

namespace Recipes.Api;

/// <summary>
/// A recipe's parameters. Arguments are constants, so that name, type, unit, range and default are known without running
/// the recipe; the host resolves the values against the art's resolution before the run.
/// </summary>
public sealed class Parameters
{
    private readonly IReadOnlyDictionary<string, string> values;

    internal Parameters(IReadOnlyDictionary<string, string> values) => this.values = values;

    /// <summary>A length, given in <c>mm</c>, <c>in</c> or <c>px</c>; reaches the recipe in px.</summary>
    public double Length(string name, string @default, string help = "") => Number(name);

    /// <summary>A length as above, or <c>auto</c>, the default, which reaches the recipe as null.</summary>
    public double? OptionalLength(string name, string help = "") => Text(name) == "auto" ? null : Number(name);

    /// <summary>An area, given in <c>mm2</c> or <c>px</c>; reaches the recipe in px2.</summary>
    public double Area(string name, string @default, string help = "") => Number(name);

    /// <summary>So many 8-bit levels, 0 to 255.</summary>
    public int Levels(string name, int @default, string help = "") => (int)Number(name);

    /// <summary>A percentage, 0 to 100.</summary>
    public double Percent(string name, double @default, string help = "") => Number(name);

    /// <summary>A number within a range.</summary>
    public double Number(string name, double @default, double min = double.MinValue, double max = double.MaxValue, string help = "") => Number(name);

    /// <summary>A color, given as <c>#rrggbb</c>.</summary>
    public Rgba8 Color(string name, string @default, string help = "") =>
        Rgba8.TryParse(Text(name), out var color) ? color : throw Missing(name);

    /// <summary>One of several words; the first is the default unless said otherwise.</summary>
    public string Choice(string name, string[] choices, string @default = "", string help = "") => Text(name);

    /// <summary>A box, given as <c>x,y,w,h</c> with units, or <c>auto</c>, which reaches the recipe as null.</summary>
    public Box? Box(string name, string @default = "auto", string help = "")
    {
        string text = Text(name);
        if (text == "auto")
        {
            return null;
        }

        int[] sides = [.. text.Split(',').Select(side => int.Parse(side, CultureInfo.InvariantCulture))];
        return sides is [var x, var y, var width, var height] ? new Box(x, y, width, height) : throw Missing(name);
    }

    /// <summary>Yes or no, given as <c>true</c> or <c>false</c>.</summary>
    public bool Flag(string name, bool @default = false, string help = "") => Text(name) == "true";

    /// <summary>Numbers of regions as the report lists them, given as <c>2,5,7-9</c>; none unless given.</summary>
    public IReadOnlyList<int> RegionNumbers(string name, string help = "") =>
        Text(name) is { Length: > 0 } text
            ? [.. text.Split(',').Select(number => int.Parse(number, CultureInfo.InvariantCulture))]
            : [];

    private double Number(string name) => double.Parse(Text(name), CultureInfo.InvariantCulture);

    private string Text(string name) => values.TryGetValue(name, out var text) ? text : throw Missing(name);

    private static InvalidOperationException Missing(string name) => new($"The host sent no value for parameter '{name}'.");
}
