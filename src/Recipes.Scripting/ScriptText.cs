using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Recipes.Problems;

namespace Recipes.Scripting;

/// <summary>How a recipe's text is read, and how a spot in it is named.</summary>
internal static class ScriptText
{
    /// <summary>C# 14 scripts.</summary>
    public static readonly CSharpParseOptions ParseOptions = new(LanguageVersion.CSharp14, DocumentationMode.None, SourceCodeKind.Script);

    /// <summary>File, line and column, from 1, in the file that holds the text.</summary>
    public static Place PlaceOf(Location location)
    {
        var span = location.GetLineSpan();
        return new Place(span.Path, span.StartLinePosition.Line + 1, span.StartLinePosition.Character + 1);
    }
}
