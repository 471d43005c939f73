using Recipes.Checking;
using Recipes.Protocol;
using Recipes.Scripting;

namespace Recipes_Scripting_Tests;

/// <summary>Short ways to compile and check in tests.</summary>
internal static class Recipe
{
    public static CompiledRecipe Compile(string source, params LoadedText[] loads) =>
        RecipeCompiler.Compile(new CompileRequest(source, [.. loads]));

    public static CheckedRecipe Checked(string source)
    {
        var compiled = Compile(source);
        compiled.Reply.Problems.ShouldBeEmpty();
        MetadataCheck.Check(compiled.Assembly, "recipe", out var recipe).ShouldBeEmpty();
        return recipe.ShouldNotBeNull();
    }

    /// <summary><c>R2002 (line,column)</c> of each problem.</summary>
    public static string[] Places(CompiledRecipe compiled) =>
        [.. compiled.Reply.Problems.Select(p => $"{p.Code} {p.File}({p.Line},{p.Column})")];
}
