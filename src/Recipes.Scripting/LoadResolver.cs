using System.Collections.Immutable;
using System.Text;
using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Scripting;

/// <summary>Serves <c>#load</c> from the texts that the host sent, by the exact name, and from nowhere else.</summary>
internal sealed class LoadResolver(CompileRequest request) : SourceReferenceResolver
{
    private readonly Dictionary<string, string> texts = request.Loads
        .DistinctBy(load => load.Name)
        .ToDictionary(load => load.Name, load => load.Text, StringComparer.Ordinal);

    public override string? ResolveReference(string path, string? baseFilePath) => texts.ContainsKey(path) ? path : null;

    public override string? NormalizePath(string path, string? baseFilePath) => path;

    public override Stream OpenRead(string resolvedPath) => new MemoryStream(Encoding.UTF8.GetBytes(texts[resolvedPath]));

    public override bool Equals(object? other) => ReferenceEquals(this, other);

    public override int GetHashCode() => 0;

    /// <summary>A problem for each <c>#load</c> that the host sent no text for.</summary>
    public IEnumerable<Problem> Missing(CSharpCompilation compilation) =>
        from tree in compilation.SyntaxTrees
        from load in ((CSharpSyntaxTree)tree).GetCompilationUnitRoot().GetLoadDirectives()
        where !texts.ContainsKey(load.File.ValueText)
        select new Problem(
            Codes.BadSnippet,
            $"The snippet '{load.File.ValueText}' can't be loaded.",
            "Load a .csx file of the recipe's own folder or of snippets/, by its name from there.",
            ScriptText.PlaceOf(load.GetLocation()));
}

/// <summary>Resolves no <c>#r</c>.</summary>
internal sealed class NoReferences : MetadataReferenceResolver
{
    public static readonly NoReferences Instance = new();

    public override ImmutableArray<PortableExecutableReference> ResolveReference(
        string reference, string? baseFilePath, MetadataReferenceProperties properties) => [];

    public override bool ResolveMissingAssemblies => false;

    public override bool Equals(object? other) => ReferenceEquals(this, other);

    public override int GetHashCode() => 0;
}
