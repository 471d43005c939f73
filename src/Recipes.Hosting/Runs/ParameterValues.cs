using System.Collections.Immutable;
using System.Globalization;
using Recipes.Hosting.Charts;
using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Hosting.Runs;

/// <summary>A recipe's parameters for one run.</summary>
/// <param name="Given">
/// Every parameter as <c>--set</c> would give it, defaults included. A color that was named by a patch or a match file is the
/// color itself here: charts change, and a step must say what was printed.
/// </param>
/// <param name="Resolved">What the recipe gets: lengths in px, areas in px2, invariant text.</param>
public sealed record ParameterValues(ImmutableSortedDictionary<string, string> Given, ImmutableSortedDictionary<string, string> Resolved)
{
    private const int MostNumbers = 10_000;

    /// <summary>Where no recipe runs.</summary>
    public static ParameterValues None { get; } = new(ImmutableSortedDictionary<string, string>.Empty, ImmutableSortedDictionary<string, string>.Empty);

    /// <summary>Checks what was given against the recipe's parameters and resolves it at the art's resolution.</summary>
    /// <param name="spec">What the recipe takes.</param>
    /// <param name="sets">What was given, as <c>name=value</c>.</param>
    /// <param name="pixelsPerInch">The art's resolution.</param>
    /// <param name="setup">The garment setup, whose chart a color may name a patch of.</param>
    /// <exception cref="ProblemException">
    /// R1004 unknown; R1005 malformed or out of range; R1011 missing; R7 codes for a color from a chart. All of them at once.
    /// </exception>
    public static ParameterValues Resolve(RecipeSpec spec, IEnumerable<string> sets, double pixelsPerInch, GarmentSetup setup)
    {
        ArgumentNullException.ThrowIfNull(spec);
        ArgumentNullException.ThrowIfNull(sets);
        var problems = new List<Problem>();
        var given = ByName(spec, sets, problems);
        bool misnamed = problems.Any(problem => problem.Code == Codes.UnknownParameter);
        var all = ImmutableSortedDictionary.CreateBuilder<string, string>(StringComparer.Ordinal);
        var resolved = ImmutableSortedDictionary.CreateBuilder<string, string>(StringComparer.Ordinal);
        foreach (var parameter in spec.Parameters)
        {
            string text = given.GetValueOrDefault(parameter.Name, parameter.Default);
            if (text.Length == 0 && parameter.Type != ParameterType.RegionNumbers)
            {
                // What is missing may be the one that was mistyped.
                problems.AddRange(misnamed ? [] : [Missing(parameter)]);
                continue;
            }

            try
            {
                // A recipe's own default may not name files.
                all[parameter.Name] = parameter.Type == ParameterType.Color && given.ContainsKey(parameter.Name)
                    && ChartColor.Of(text, setup) is { } color ? color.ToString() : text;
                resolved[parameter.Name] = Value(parameter, all[parameter.Name], pixelsPerInch) ?? throw new ProblemException(Bad(parameter, text));
            }
            catch (ProblemException e)
            {
                problems.AddRange(e.Problems);
            }
        }

        return problems.Count == 0 ? new ParameterValues(all.ToImmutable(), resolved.ToImmutable()) : throw new ProblemException(problems);
    }

    // What was given by name, each known and once.
    private static Dictionary<string, string> ByName(RecipeSpec spec, IEnumerable<string> sets, List<Problem> problems)
    {
        var given = new Dictionary<string, string>(StringComparer.Ordinal);
        string[] known = [.. spec.Parameters.Select(parameter => parameter.Name)];
        foreach (string set in sets)
        {
            int equals = set.IndexOf('=', StringComparison.Ordinal);
            string name = equals < 0 ? set : set[..equals];
            if (!known.Contains(name))
            {
                problems.Add(new Problem(Codes.UnknownParameter, $"The recipe has no parameter '{CleanText.Line(name, 80)}'.",
                    known.Length == 0 ? "It takes no parameters." : Suggestion.Hint(name, known)));
            }
            else if (equals < 0)
            {
                problems.Add(new Problem(Codes.BadParameter, $"'--set {name}' gives no value.", $"Write --set {name}=VALUE."));
            }
            else if (!given.TryAdd(name, set[(equals + 1)..].Trim()))
            {
                problems.Add(new Problem(Codes.BadParameter, $"The parameter '{name}' is given twice.", "Give it once."));
            }
        }

        return given;
    }

    private static Problem Missing(ParameterSpec parameter) => new(Codes.MissingParameter,
        $"The recipe needs the parameter '{parameter.Name}'{(parameter.Help.Length > 0 ? $" ({parameter.Help})" : "")}.",
        $"Write --set {parameter.Name}=VALUE, where VALUE is {Takes(parameter)}.");

    private static Problem Bad(ParameterSpec parameter, string text) => new(Codes.BadParameter,
        $"The parameter '{parameter.Name}' takes {Takes(parameter)}, not '{CleanText.Line(text, 80)}'.",
        Suggestion.For(text, parameter.Choices) is { } nearest ? $"{Suggestion.DidYouMean(nearest)} Write --set {parameter.Name}={nearest}."
            : $"For instance --set {parameter.Name}={Example(parameter)}.");

    /// <summary>What a parameter takes, in words: type, unit and range.</summary>
    public static string Takes(ParameterSpec parameter)
    {
        ArgumentNullException.ThrowIfNull(parameter);
        return parameter.Type switch
        {
            ParameterType.Length => "a length in mm, cm, in or px",
            ParameterType.OptionalLength => "a length in mm, cm, in or px, or auto",
            ParameterType.Area => "an area in mm2 or px",
            ParameterType.Levels => "levels from 0 to 255",
            ParameterType.Percent => "a percentage from 0 to 100",
            ParameterType.Number => (parameter.Min, parameter.Max) switch
            {
                ({ } min, { } max) => string.Create(CultureInfo.InvariantCulture, $"a number from {min} to {max}"),
                ({ } min, null) => string.Create(CultureInfo.InvariantCulture, $"a number of at least {min}"),
                (null, { } max) => string.Create(CultureInfo.InvariantCulture, $"a number of at most {max}"),
                _ => "a number",
            },
            ParameterType.Color => "a color as #rrggbb, a patch of the setup's chart as chart:C7, or the .json file of a match",
            ParameterType.Choice => string.Join(" or ", parameter.Choices),
            ParameterType.Box => "a box x,y,w,h with units, or auto",
            ParameterType.Flag => "true or false",
            _ => "region numbers such as 2,5,7-9",
        };
    }

    private static string Example(ParameterSpec parameter) => parameter.Default is not ("" or "auto") ? parameter.Default : parameter.Type switch
    {
        ParameterType.Length => "1.5mm",
        ParameterType.OptionalLength => "100mm",
        ParameterType.Area => "0.06mm2",
        ParameterType.Color => "#c8102e",
        ParameterType.RegionNumbers => "2,5,7-9",
        ParameterType.Box => "10px,10px,200px,100px",
        _ => "1",
    };

    private static string? Value(ParameterSpec parameter, string text, double pixelsPerInch)
    {
        return parameter.Type switch
        {
            ParameterType.Length => Text(Measure.Length(text, pixelsPerInch)),
            ParameterType.OptionalLength => text == "auto" ? text : Text(Measure.Length(text, pixelsPerInch)),
            ParameterType.Area => Text(Measure.Area(text, pixelsPerInch)),
            ParameterType.Levels => Whole(text, 0, 255),
            ParameterType.Percent => Text(Number(text.EndsWith('%') ? text[..^1] : text, 0, 100)),
            ParameterType.Number => Text(Number(text, parameter.Min ?? double.MinValue, parameter.Max ?? double.MaxValue)),
            ParameterType.Color => Rgba8.TryParse(text, out var color) ? color.ToString() : null,
            ParameterType.Choice => parameter.Choices.Contains(text) ? text : null,
            ParameterType.Box => text == "auto" ? text : Measure.Box(text, pixelsPerInch)?.ToString(),
            ParameterType.Flag => text is "true" or "false" ? text : null,
            ParameterType.RegionNumbers => Numbers(text),
            _ => null,
        };

        static string? Text(double? value) => value?.ToString("R", CultureInfo.InvariantCulture);

        static double? Number(string text, double min, double max) =>
            double.TryParse(text, NumberStyles.AllowDecimalPoint | NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out double value)
            && double.IsFinite(value) && value >= min && value <= max ? value : null;

        static string? Whole(string text, int min, int max) =>
            int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out int value) && value >= min && value <= max
                ? value.ToString(CultureInfo.InvariantCulture) : null;
    }

    // "2,5,7-9" becomes "2,5,7,8,9".
    private static string? Numbers(string text)
    {
        var numbers = new SortedSet<int>();
        foreach (string part in text.Split(',', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries))
        {
            string[] ends = part.Split('-');
            if (ends.Length > 2
                || !int.TryParse(ends[0], NumberStyles.None, CultureInfo.InvariantCulture, out int first)
                || !int.TryParse(ends[^1], NumberStyles.None, CultureInfo.InvariantCulture, out int last)
                || first < 1 || last < first || last - first >= MostNumbers || numbers.Count + (last - first) >= MostNumbers)
            {
                return null;
            }

            numbers.UnionWith(Enumerable.Range(first, last - first + 1));
        }

        return string.Join(',', numbers.Select(number => number.ToString(CultureInfo.InvariantCulture)));
    }
}
