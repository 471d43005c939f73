using Microsoft.CodeAnalysis;

namespace Recipes.Scripting;

/// <summary>Why recipes may not use a thing, and what to use instead. Only messages depend on it, never a verdict.</summary>
internal static class Advice
{
    private const string SameEverywhere = "the same art must give the same pixels everywhere.";
    private const string OneThread = "a recipe runs on one thread, from top to bottom.";
    private const string NoReflection = "it leads to types and code that no check has seen.";
    private const string OnlyArt = "a recipe sees only the art.";
    private const string Bounded = "it reaches memory past the bounds of arrays.";

    // The first start that fits wins.
    private static readonly (string Start, string Why, string Instead)[] Entries =
    [
        ("System.IO.", OnlyArt, "Use Art.Find to look at it, the Art requests to change it and Report.Note to say something."),
        ("System.Net.", OnlyArt, "Give what the recipe needs as a parameter: Param.Choice, Param.Color, Param.Number."),
        ("System.Diagnostics.Process", OnlyArt, "Do the work in the recipe, with Art and LINQ."),
        ("System.Diagnostics.", SameEverywhere, "Leave measuring to the host: --timings shows where the time went."),
        ("System.Console", OnlyArt, "Use Report.Note(text)."),
        ("System.Environment", OnlyArt, "Give what the recipe needs as a parameter: Param.Choice, Param.Number, Param.Flag."),
        ("System.AppContext", OnlyArt, "Leave it out."),
        ("System.AppDomain", OnlyArt, "Leave it out."),
        ("System.Random", SameEverywhere, "Compute from the pixel's place, or take a seed as Param.Number."),
        ("System.Security.Cryptography.", SameEverywhere, "Compute from the pixel's place."),
        ("System.Guid", SameEverywhere, "Number things: 1, 2, 3."),
        ("System.DateTime", SameEverywhere, "Leave the date to the host; the work file records it."),
        ("System.TimeProvider", SameEverywhere, "Leave the date to the host; the work file records it."),
        ("System.HashCode", "hash codes differ from run to run.", "Compare with Equals, or use a tuple as the key."),
        ("System.Object.GetHashCode", "hash codes differ from run to run.", "Compare with Equals, or use a tuple as the key."),
        ("System.String.GetHashCode", "hash codes differ from run to run.", "Compare with Equals, or use the text as the key."),
        ("System.Globalization.", SameEverywhere, "Use CultureInfo.InvariantCulture, or leave the culture out."),
        ("System.Threading.", OneThread, "Call methods directly."),
        ("System.GC", "memory is the host's business.", "Leave it out."),
        ("System.WeakReference", "memory is the host's business.", "Use an ordinary variable."),
        ("System.Buffers.", Bounded, "Use an array."),
        ("System.Runtime.Loader.", NoReflection, "#load a snippet instead."),
        ("System.Runtime.Serialization.", OnlyArt, "Take values as parameters: Param.Choice, Param.Number."),
        ("System.Runtime.InteropServices.RuntimeInformation", SameEverywhere, "Leave it out."),
        ("System.Runtime.", Bounded, "Use arrays and indices."),
        ("System.Reflection.", NoReflection, "Call what you mean directly."),
        ("System.Type", NoReflection, "Use patterns: value is Kind."),
        ("System.Object.GetType", NoReflection, "Use patterns: value is Kind."),
        ("System.Delegate", NoReflection, "Call the Func or Action directly."),
        ("System.Activator", NoReflection, "Call the constructor: new Kind()."),
        ("System.Dynamic.", NoReflection, "Declare a record."),
        ("System.Linq.Expressions.", NoReflection, "Use Func and Action."),
        ("System.Linq.Queryable", NoReflection, "Leave AsQueryable out; LINQ works on lists and arrays."),
        ("System.Linq.Parallel", OneThread, "Leave AsParallel out."),
        ("System.Linq.Enumerable.Shuffle", SameEverywhere, "Use OrderBy."),
        ("System.Text.RegularExpressions.", "a pattern can take forever.", "Use Contains, StartsWith, Split and char.IsDigit."),
        ("System.Text.Json.", OnlyArt, "Take values as parameters: Param.Choice, Param.Number."),
        ("System.Xml.", OnlyArt, "Take values as parameters: Param.Choice, Param.Number."),
        ("Recipes.Api.ArtCursor.Artwork", "layers change through requests, which declare what they do to printing.",
            "Use Art.MakePrintable, LeaveBare, DropBlack, PrintBlack or Fill."),
        ("Recipes.Imaging.", "it is the inside of the picture.", "Use Art.Find and the regions that it gives."),
        ("Recipes.Api.", "it belongs to the host.", "Use Art, Setup, Param, Recipe and Report."),
    ];

    /// <summary>Advice for a refused type or member.</summary>
    public static (string Why, string Instead) For(ISymbol symbol)
    {
        // Whatever its namespace is for: an attribute asks the compiler or the runtime to do something else with the code.
        if ((symbol as ITypeSymbol ?? symbol.ContainingType)?.BaseType
            is { Name: nameof(Attribute), ContainingNamespace: { Name: nameof(System), ContainingNamespace.IsGlobalNamespace: true } })
        {
            return ("attributes change what the code beside them does.", "Leave it out.");
        }

        string id = symbol.OriginalDefinition.GetDocumentationCommentId() is { Length: > 2 } text ? text[2..] : symbol.Name;
        foreach (var (start, why, instead) in Entries)
        {
            if (id.StartsWith(start, StringComparison.Ordinal))
            {
                return (why, instead);
            }
        }

        return symbol.Name is nameof(GetHashCode)
            ? ("hash codes differ from run to run.", "Compare with Equals, or use a tuple as the key.")
            : ("it isn't on the list of what recipes may use.", "Use what Art, LINQ and plain C# offer.");
    }
}
