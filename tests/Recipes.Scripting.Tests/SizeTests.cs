using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.CSharp.Syntax;

namespace Recipes_Scripting_Tests;

/// <summary>How much a reader of the sources must hold in mind at once. What still takes more is named here, and the list only gets shorter.</summary>
public class SizeTests
{
    private const int MostLines = 60, MostColumns = 160, MostParameters = 5, MostConditionals = 2;

    private static readonly string[] Left =
    [
        "Recipes.Cli/Commands/DemoCommand.cs: Run has 74 lines",
        "Recipes.Cli/Commands/DemoCommand.cs: Step lies in another class",
        "Recipes.Cli/Commands/DocsCommand.cs: WriteRecipes has 6 parameters",
        "Recipes.Cli/Demo/HarborDrawing.cs: Oval has 7 parameters",
        "Recipes.Cli/Demo/HarborDrawing.cs: PartAt has 80 lines",
        "Recipes.Cli/Demo/HarborDrawing.cs: Triangle has 8 parameters",
        "Recipes.Hosting/Arts/ArtState.cs: Find has 6 parameters",
        "Recipes.Hosting/Arts/ShopArts.cs: FindState has 6 parameters",
        "Recipes.Hosting/Pages/CheckPage.cs: Write has 7 parameters",
        "Recipes.Hosting/Pages/Page.Parts.cs: Pane has 6 parameters",
        "Recipes.Hosting/Runs/RecipeRunner.cs: Judge has 6 parameters",
        "Recipes.Hosting/Trust/Approval.cs: Give has 6 parameters",
        // Each parameter fills a member of its own; the last is mmap's.
        "Recipes.Imaging/Art/Artwork.cs: Artwork has 6 parameters",
        "Recipes.Imaging/Charts/MeasuredChart.cs: MeasuredChart has 6 parameters",
        "Recipes.Imaging/Regions/Dirt.cs: Dirt has 6 parameters",
        "Recipes.Jail/Libc.cs: Map has 6 parameters",
    ];

    [Fact]
    public void Sources_take_no_more_than_a_screen_at_once()
    {
        string root = Root();
        var files = Directory.EnumerateFiles(root, "*.cs", SearchOption.AllDirectories).Select(file => Path.GetRelativePath(root, file).Replace('\\', '/'))
            .Where(file => file.Split('/')[1] is not ("bin" or "obj")).ToList();
        files.Count.ShouldBeGreaterThan(300);
        var found = files.SelectMany(file => Found(file, File.ReadAllText(Path.Combine(root, file)))).ToHashSet();
        found.Except(Left).Order(StringComparer.Ordinal).ShouldBeEmpty();
        Left.Except(found).ShouldBeEmpty("it no longer takes more; strike it out");
    }

    [Theory]
    [InlineData("class C { void M(int a, int b, int c, int d, int e, int f) { } }", "x/Commands/C.cs: M has 6 parameters")]
    [InlineData("class C { class D { } }", "x/Commands/C.cs: D lies in another class")]
    [InlineData("class C { int M(bool a) => a ? a ? a ? 1 : 2 : 3 : 4; }", "x/Commands/C.cs: M holds 3 conditionals, one in another")]
    [InlineData("class C { int M(bool a) => a ? 1 : a ? 2 : a ? 3 : 4; }", null)]
    [InlineData("class C { void M(int a, int b, int c, int d, int e) { } }", null)]
    public void What_takes_more_is_told(string code, string? told) => Found("x/Commands/C.cs", code).ShouldBe(told is null ? [] : [told]);

    [Fact]
    public void Long_lines_and_methods_are_told()
    {
        Found("x/C.cs", $"// {new string('-', MostColumns)}").ShouldBe(["x/C.cs: line 1 has 163 columns"]);
        Found("x/C.cs", $"class C\n{{\n    void M()\n    {{{new string('\n', MostLines - 1)}    }}\n}}").ShouldBe(["x/C.cs: M has 61 lines"]);
        Found("x/C.cs", $"class C\n{{\n    void M()\n    {{{new string('\n', MostLines - 2)}    }}\n}}").ShouldBeEmpty();
    }

    private static IEnumerable<string> Found(string file, string text)
    {
        var root = CSharpSyntaxTree.ParseText(text, new CSharpParseOptions(LanguageVersion.CSharp14), cancellationToken: TestContext.Current.CancellationToken)
            .GetRoot(TestContext.Current.CancellationToken);
        return text.Split('\n').Index().Where(line => line.Item.TrimEnd('\r').Length > MostColumns
                // A pattern is read in one piece.
                && !line.Item.TrimStart().StartsWith("[GeneratedRegex(", StringComparison.Ordinal))
            .Select(line => $"{file}: line {line.Index + 1} has {line.Item.Length} columns")
            .Concat(root.DescendantNodes().SelectMany(node => Found(file, node)));
    }

    private static IEnumerable<string> Found(string file, SyntaxNode node)
    {
        var (name, parameters) = node switch
        {
            MethodDeclarationSyntax method => (method.Identifier.Text, method.ParameterList.Parameters.Count),
            ConstructorDeclarationSyntax made => (made.Identifier.Text, made.ParameterList.Parameters.Count),
            LocalFunctionStatementSyntax local => (local.Identifier.Text, local.ParameterList.Parameters.Count),
            _ => ("", 0),
        };
        if (parameters > MostParameters)
        {
            yield return $"{file}: {name} has {parameters} parameters";
        }

        var lines = node.GetLocation().GetLineSpan();
        if (name.Length > 0 && lines.EndLinePosition.Line - lines.StartLinePosition.Line + 1 is > MostLines and var count)
        {
            yield return $"{file}: {name} has {count} lines";
        }

        if (node is TypeDeclarationSyntax { Parent: TypeDeclarationSyntax } nested && file.Contains("/Commands/", StringComparison.Ordinal))
        {
            yield return $"{file}: {nested.Identifier.Text} lies in another class";
        }

        if (node is ConditionalExpressionSyntax conditional && Depth(conditional) is > MostConditionals and var depth)
        {
            string where = node.Ancestors().OfType<MethodDeclarationSyntax>().FirstOrDefault()?.Identifier.Text ?? "a member";
            yield return $"{file}: {where} holds {depth} conditionals, one in another";
        }
    }

    // One that goes on where the other is false is a list of cases, read from top to bottom; others lie in one another.
    private static int Depth(ConditionalExpressionSyntax conditional)
    {
        int depth = 1;
        SyntaxNode child = conditional;
        while (child.Parent is ConditionalExpressionSyntax or ParenthesizedExpressionSyntax)
        {
            depth += child.Parent is ConditionalExpressionSyntax outer && outer.WhenFalse != child ? 1 : 0;
            child = child.Parent;
        }

        return depth;
    }

    private static string Root()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (folder is not null && !File.Exists(Path.Combine(folder.FullName, "Recipes.sln")))
        {
            folder = folder.Parent;
        }

        return Path.Combine(folder?.FullName ?? throw new InvalidOperationException("Recipes.sln lies in none of the folders above the test."), "src");
    }
}
