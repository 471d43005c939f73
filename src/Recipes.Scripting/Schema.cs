using System.Collections.Immutable;
using System.Globalization;
using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.CSharp.Syntax;
using Microsoft.CodeAnalysis.Operations;
using Recipes.Imaging;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Scripting;

/// <summary>
/// Reads what a recipe says about itself from its <c>Recipe.*</c> and <c>Param.*</c> calls, without running it. Snippets
/// count like the recipe's own text; a parameter's line is that of the file that declares it.
/// </summary>
internal static class Schema
{
    private const string ParametersType = "Recipes.Api.Parameters", DeclarationsType = "Recipes.Api.Declarations";

    /// <summary>Reads the schema.</summary>
    /// <param name="compilation">The recipe.</param>
    /// <param name="problems">Takes problems of code R2005: something that is no constant, or a value that its type can't have.</param>
    public static RecipeSpec Read(CSharpCompilation compilation, ICollection<Problem> problems)
    {
        ArgumentNullException.ThrowIfNull(compilation);
        ArgumentNullException.ThrowIfNull(problems);
        var spec = new RecipeSpec("", "", 1, "", []);
        var stated = new HashSet<string>(StringComparer.Ordinal);
        foreach (var tree in compilation.SyntaxTrees)
        {
            var model = compilation.GetSemanticModel(tree);
            foreach (var node in tree.GetRoot().DescendantNodes())
            {
                if (node is not (InvocationExpressionSyntax or MemberAccessExpressionSyntax))
                {
                    continue;
                }

                var place = ScriptText.PlaceOf(node.GetLocation());
                try
                {
                    spec = model.GetOperation(node) switch
                    {
                        IInvocationOperation call when IsOf(call.TargetMethod, ParametersType) => Declared(spec, call, place),
                        IInvocationOperation { TargetMethod.Name: not "Decline" } call when IsOf(call.TargetMethod, DeclarationsType) =>
                            Stated(spec, call, stated),
                        IMethodReferenceOperation { Method.Name: not "Decline" } method
                            when IsOf(method.Method, ParametersType) || IsOf(method.Method, DeclarationsType) =>
                            throw new NotReadable($"{method.Method.Name} is used without being called, so it can't be read without running the recipe."),
                        _ => spec,
                    };
                }
                catch (NotReadable e)
                {
                    problems.Add(e.Needed is null
                        ? new Problem(Codes.NotConstant, e.Message,
                            "Write the value itself at this place, so that the host can read it without running the recipe.", place)
                        : new Problem(Codes.NewerRecipe, e.Message, "Update the program, or ask for a version of the recipe that needs less.", place));
                }
            }
        }

        return spec;
    }

    private static bool IsOf(IMethodSymbol method, string type) => method.ContainingType.ToDisplayString() == type;

    private static RecipeSpec Stated(RecipeSpec spec, IInvocationOperation call, HashSet<string> stated)
    {
        string name = call.TargetMethod.Name;
        if (!stated.Add(name))
        {
            throw new NotReadable($"Recipe.{name} stands twice.");
        }

        if (name == "Expects")
        {
            return spec with { Expects = Expected(call) };
        }

        object? value = Constant(call.Arguments[0].Value, $"The argument of Recipe.{name}");
        return name switch
        {
            "Title" => spec with { Title = Line(value, "The title") },
            "Purpose" => spec with { Purpose = Line(value, "The purpose") },
            "Example" => spec with { Example = Line(value, "The example") },
            "RunOnce" => Line(value, "The reason of Recipe.RunOnce") is { Length: > 0 } reason ? spec with { RunOnce = reason }
                : throw new NotReadable("Recipe.RunOnce has no reason."),
            "LeavesBare" => Line(value, "What Recipe.LeavesBare says") is { Length: > 0 } what ? spec with { LeavesBare = what }
                : throw new NotReadable("Recipe.LeavesBare doesn't say what."),
            "Version" => value is int and >= 1 ? spec with { Version = (int)value } : throw new NotReadable("A version is a whole number from 1."),
            "NeedsApi" => value is not (int and >= 1) ? throw new NotReadable("What a recipe needs is a whole number from 1.")
                : (int)value > RecipeSpec.ApiVersion ? throw new NotReadable(string.Create(CultureInfo.InvariantCulture,
                    $"The recipe needs version {value} of what recipes may count on; this program has {RecipeSpec.ApiVersion}.")) { Needed = (int)value }
                : spec,
            _ => spec,
        };
    }

    private static ExpectationSpec Expected(IInvocationOperation call)
    {
        var expects = new ExpectationSpec(Argument("setup"), Argument("mode"), Argument("smallest"), Argument("largest"));
        foreach (string length in (string[])[expects.Smallest, expects.Largest])
        {
            if (length.Length > 0 && !IsMeasure(length, "mm", "cm", "in", "px"))
            {
                throw new NotReadable($"'{length}' isn't a length such as 20mm, 1in or 300px.");
            }
        }

        return expects.Mode.Length == 0 || ExpectationSpec.Modes.Contains(expects.Mode) ? expects
            : throw new NotReadable($"'{expects.Mode}' is none of the modes {string.Join(", ", ExpectationSpec.Modes)}.");

        string Argument(string parameter) =>
            Text(call.Arguments.Single(argument => argument.Parameter?.Name == parameter).Value, $"What Recipe.Expects says of '{parameter}'");
    }

    private static RecipeSpec Declared(RecipeSpec spec, IInvocationOperation call, Place place)
    {
        string method = call.TargetMethod.Name;
        var type = Enum.TryParse(method, out ParameterType known) ? known : throw new NotReadable($"Param.{method} can't be read.");
        string name = Text(Argument("name"), "The name of a parameter");
        if (!IsName(name))
        {
            throw new NotReadable($"'{name}' is no parameter name: small letters, digits and dashes, a letter first.");
        }

        if (spec.Parameters.Any(other => other.Name == name))
        {
            throw new NotReadable($"The parameter '{name}' stands twice.");
        }

        if (spec.Parameters.Length == RecipeSpec.MostParameters)
        {
            throw new NotReadable($"A recipe has at most {RecipeSpec.MostParameters} parameters.");
        }

        ImmutableArray<string> choices = type == ParameterType.Choice ? Words(Argument("choices")!, name) : [];
        var (min, max) = Range(type, Argument, name);
        string help = Text(Argument("help"), $"The help of '{name}'");
        object? value = type switch
        {
            ParameterType.RegionNumbers => "",
            ParameterType.OptionalLength => "auto",
            _ => Constant(Argument("default"), $"The default of '{name}'"),
        };
        var parameter = new ParameterSpec(name, type, "", min, max, choices, help, place.Line ?? 1);
        return spec with { Parameters = spec.Parameters.Add(parameter with { Default = Default(parameter, value) }) };

        IOperation? Argument(string parameter) => call.Arguments.FirstOrDefault(argument => argument.Parameter?.Name == parameter)?.Value;
    }

    private static (double? Min, double? Max) Range(ParameterType type, Func<string, IOperation?> argument, string name)
    {
        switch (type)
        {
            case ParameterType.Levels:
                return (0, 255);
            case ParameterType.Percent:
                return (0, 100);
            case ParameterType.Number:
                double min = (double)Constant(argument("min"), $"The smallest value of '{name}'")!;
                double max = (double)Constant(argument("max"), $"The largest value of '{name}'")!;
                return min <= max
                    ? (min == double.MinValue ? null : min, max == double.MaxValue ? null : max)
                    : throw new NotReadable($"The range of '{name}' is empty.");
            default:
                return (null, null);
        }
    }

    // The default as --set takes it. Lengths, areas and colors may have none (""): they must then be given.
    private static string Default(ParameterSpec parameter, object? value)
    {
        string name = parameter.Name;
        string text = value switch
        {
            bool flag => flag ? "true" : "false",
            IFormattable number => number.ToString(null, CultureInfo.InvariantCulture),
            string line => Line(line, $"The default of '{name}'"),
            _ => throw new NotReadable($"The default of '{name}' is missing."),
        };
        string? wrong = parameter.Type switch
        {
            ParameterType.Length when !(text.Length == 0 || IsMeasure(text, "mm", "cm", "in", "px")) => "isn't a length such as 0.2mm, 0.01in or 3px",
            ParameterType.Area when !(text.Length == 0 || IsMeasure(text, "mm2", "px")) => "isn't an area such as 0.06mm2 or 9px",
            ParameterType.Color when !(text.Length == 0 || Rgba8.TryParse(text, out _)) => "isn't a color such as #1a2b3c",
            ParameterType.Box when !(text == "auto" || text.Split(',') is { Length: 4 } sides
                && Array.TrueForAll(sides, side => IsMeasure(side, "mm", "cm", "in", "px"))) =>
                "isn't auto or a box such as 0mm,0mm,50mm,50mm",
            ParameterType.Choice when text.Length > 0 && !parameter.Choices.Contains(text) => "isn't one of the choices",
            ParameterType.Levels or ParameterType.Percent or ParameterType.Number when Convert.ToDouble(value, CultureInfo.InvariantCulture) is var number
                && !(double.IsFinite(number) && number >= (parameter.Min ?? double.MinValue) && number <= (parameter.Max ?? double.MaxValue)) =>
                "is out of range",
            _ => null,
        };
        return wrong is not null ? throw new NotReadable($"The default '{text}' of '{name}' {wrong}.")
            : parameter.Type == ParameterType.Choice && text.Length == 0 ? parameter.Choices[0] : text;
    }

    private static bool IsMeasure(string text, params ReadOnlySpan<string> units)
    {
        foreach (string unit in units)
        {
            if (text.EndsWith(unit, StringComparison.Ordinal)
                && double.TryParse(text.AsSpan(0, text.Length - unit.Length), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double number)
                && double.IsFinite(number))
            {
                return true;
            }
        }

        return false;
    }

    private static bool IsName(string name) =>
        name.Length > 0 && char.IsAsciiLetterLower(name[0]) && name.All(c => char.IsAsciiLetterLower(c) || char.IsAsciiDigit(c) || c == '-');

    private static ImmutableArray<string> Words(IOperation choices, string name)
    {
        while (choices is IConversionOperation conversion)
        {
            choices = conversion.Operand;
        }

        var elements = choices switch
        {
            IArrayCreationOperation { Initializer: { } initializer } => initializer.ElementValues,
            ICollectionExpressionOperation collection => collection.Elements,
            _ => throw new NotReadable($"The choices of '{name}' aren't written as a list of words: [\"all\", \"none\"]."),
        };
        ImmutableArray<string> words = [.. elements.Select(element => Text(element, $"A choice of '{name}'"))];
        return words.Length > 0 && words.All(word => word.Length > 0) && words.Distinct().Count() == words.Length
            ? words
            : throw new NotReadable($"The choices of '{name}' are empty or the same.");
    }

    private static string Text(IOperation? operation, string what) => Line(Constant(operation, what), what);

    private static string Line(object? value, string what) =>
        value is not string text ? throw new NotReadable($"{what} is missing.")
        : text.Length > RecipeSpec.LongestText ? throw new NotReadable($"{what} is longer than {RecipeSpec.LongestText} characters.")
        : text;

    private static object? Constant(IOperation? operation, string what) =>
        operation?.ConstantValue is { HasValue: true, Value: var value } ? value : throw new NotReadable($"{what} isn't a constant.");

    private sealed class NotReadable(string message) : Exception(message)
    {
        // The version of the API, where it is newer than this program.
        public int? Needed { get; init; }
    }
}
