using System.Globalization;

namespace Recipes.Hosting.Words;

/// <summary>Numbers as people and pages read them, alike in every culture.</summary>
public static class Numeral
{
    /// <summary>Digits alone, for what a program reads.</summary>
    public static string Plain(long value) => value.ToString(CultureInfo.InvariantCulture);

    /// <summary>With groups of three: <c>12,345</c>.</summary>
    public static string Of(long value) => value.ToString("N0", CultureInfo.InvariantCulture);

    /// <summary>With at most two decimals, or as a format of .NET says.</summary>
    public static string Of(double value, string format = "0.##") => value.ToString(format, CultureInfo.InvariantCulture);
}
