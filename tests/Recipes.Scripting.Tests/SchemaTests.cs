using Recipes.Protocol;

namespace Recipes_Scripting_Tests;

public class SchemaTests
{
    [Fact]
    public void ReadsWhatTheRecipeSays()
    {
        var spec = Recipe.Compile("""
            Recipe.Title("Harden the sail");
            Recipe.Purpose("Makes soft edges hard.");
            Recipe.Version(3);
            Recipe.Example("recipes dry-run harden sail.png");
            """).Reply.Spec.ShouldNotBeNull();
        (spec.Title, spec.Purpose, spec.Version, spec.Example)
            .ShouldBe(("Harden the sail", "Makes soft edges hard.", 3, "recipes dry-run harden sail.png"));
    }

    [Fact]
    public void ReadsWhatItExpectsAndThatItRunsOnce()
    {
        var spec = Recipe.Compile("""
            Recipe.RunOnce("Each run makes the wings darker.");
            Recipe.LeavesBare("All but the wings.");
            Recipe.Expects(mode: "transparent", setup: "black-garment, light-garment", largest: "400mm");
            """).Reply.Spec.ShouldNotBeNull();
        spec.RunOnce.ShouldBe("Each run makes the wings darker.");
        spec.LeavesBare.ShouldBe("All but the wings.");
        spec.Expects.ShouldBe(new ExpectationSpec("black-garment, light-garment", "transparent", "", "400mm"));
        var plain = Recipe.Compile("Report.Note(\"x\");").Reply.Spec!;
        (plain.RunOnce, plain.LeavesBare, plain.Expects).ShouldBe(("", "", ExpectationSpec.Nothing));
    }

    [Fact]
    public void ANewerRecipeIsRefusedForThatAlone()
    {
        Recipe.Compile($"Recipe.NeedsApi({RecipeSpec.ApiVersion});").Reply.Spec.ShouldNotBeNull();
        var problem = Recipe.Compile("Recipe.Title(\"x\");\nRecipe.NeedsApi(1_000);\nArt.Unknown();").Reply.Problems.ShouldHaveSingleItem();
        (problem.Code, problem.Line, problem.Column).ShouldBe(("R2009", 2, 1));
        problem.Message.ShouldContain("needs version 1000");
    }

    [Theory]
    [InlineData("Recipe.RunOnce(\"\");")]
    [InlineData("Recipe.LeavesBare(\"\");")]
    [InlineData("Recipe.LeavesBare(Setup.Name);")]
    [InlineData("Recipe.RunOnce(Setup.Name);")]
    [InlineData("Recipe.NeedsApi(0);")]
    [InlineData("Recipe.NeedsApi(Setup.Name.Length);")]
    [InlineData("Recipe.Expects(mode: \"cmyk\");")]
    [InlineData("Recipe.Expects(smallest: \"20\");")]
    [InlineData("Recipe.Expects(smallest: \"20mm2\");")]
    [InlineData("Recipe.Expects(setup: Setup.Name);")]
    [InlineData("Recipe.Expects();Recipe.Expects();")]
    public void AnExpectationThatCantBeReadIsRefused(string call) =>
        Recipe.Compile(call).Reply.Problems.ShouldHaveSingleItem().Code.ShouldBe("R2005");

    [Fact]
    public void ARecipeThatSaysNothingHasVersionOne()
    {
        var spec = Recipe.Compile("Report.Note(\"x\");").Reply.Spec.ShouldNotBeNull();
        (spec.Title, spec.Version, spec.Parameters.Length).ShouldBe(("", 1, 0));
    }

    [Theory]
    [InlineData("Param.Length(\"p\", \"0.2mm\", help: \"far\")", ParameterType.Length, "0.2mm", null, null)]
    [InlineData("Param.OptionalLength(\"p\", help: \"far\")", ParameterType.OptionalLength, "auto", null, null)]
    [InlineData("Param.Area(\"p\", \"0mm2\", \"far\")", ParameterType.Area, "0mm2", null, null)]
    [InlineData("Param.Levels(\"p\", 8, \"far\")", ParameterType.Levels, "8", 0.0, 255.0)]
    [InlineData("Param.Percent(help: \"far\", name: \"p\", @default: 12.5)", ParameterType.Percent, "12.5", 0.0, 100.0)]
    [InlineData("Param.Number(\"p\", 3, help: \"far\")", ParameterType.Number, "3", null, null)]
    [InlineData("Param.Number(\"p\", 3, 1, 4.5, \"far\")", ParameterType.Number, "3", 1.0, 4.5)]
    [InlineData("Param.Color(\"p\", \"#ffffff\", \"far\")", ParameterType.Color, "#ffffff", null, null)]
    [InlineData("Param.Box(\"p\", help: \"far\")", ParameterType.Box, "auto", null, null)]
    [InlineData("Param.Flag(\"p\", help: \"far\")", ParameterType.Flag, "false", null, null)]
    [InlineData("Param.Flag(\"p\", true, \"far\")", ParameterType.Flag, "true", null, null)]
    [InlineData("Param.RegionNumbers(\"p\", \"far\")", ParameterType.RegionNumbers, "", null, null)]
    public void ReadsParameters(string call, ParameterType type, string @default, double? min, double? max)
    {
        var parameter = Recipe.Compile($"Report.Note(\"x\");\nvar v = {call};").Reply.Spec!.Parameters.ShouldHaveSingleItem();
        parameter.Choices.ShouldBeEmpty();
        (parameter with { Choices = default }).ShouldBe(new ParameterSpec("p", type, @default, min, max, default, "far", 2));
    }

    [Theory]
    [InlineData("[\"flat\", \"keep\"]", "flat")]
    [InlineData("new[] { \"flat\", \"keep\" }", "flat")]
    [InlineData("new string[] { \"flat\", \"keep\" }", "flat")]
    [InlineData("[\"flat\", \"keep\"], \"keep\"", "keep")]
    public void ReadsChoices(string arguments, string @default)
    {
        var parameter = Recipe.Compile($"var v = Param.Choice(\"shade\", {arguments});").Reply.Spec!.Parameters.ShouldHaveSingleItem();
        parameter.Choices.ShouldBe(["flat", "keep"]);
        parameter.Default.ShouldBe(@default);
    }

    [Fact]
    public void ConstantsMayBeNamedAndAdded()
    {
        var spec = Recipe.Compile("const string Name = \"ring\"; const int Near = 2;\nvar v = Param.Levels(Name + \"-width\", Near * 4);").Reply.Spec!;
        (spec.Parameters[0].Name, spec.Parameters[0].Default).ShouldBe(("ring-width", "8"));
    }

    [Fact]
    public void ParametersOfSnippetsCount()
    {
        var spec = Recipe.Compile("#load \"snippets/x.csx\"\nvar a = Param.Flag(\"a\");", new LoadedText("snippets/x.csx", "\n\nvar b = Param.Flag(\"b\");")).Reply.Spec!;
        spec.Parameters.Select(p => (p.Name, p.Line)).ShouldBe([("a", 2), ("b", 3)], ignoreOrder: true);
    }

    [Theory]
    [InlineData("Recipe.Title(Report.ToString());", 1)]
    [InlineData("Recipe.Title(\"a\");\nRecipe.Title(\"b\");", 2)]
    [InlineData("Recipe.Version(0);", 1)]
    [InlineData("string n = \"a\";\nvar v = Param.Flag(n);", 2)]
    [InlineData("var v = Param.Flag(\"Upper\");", 1)]
    [InlineData("var v = Param.Flag(\"\");", 1)]
    [InlineData("var v = Param.Flag(\"1a\");", 1)]
    [InlineData("var v = Param.Flag(\"a\");\nvar w = Param.Levels(\"a\", 1);", 2)]
    [InlineData("var v = Param.Levels(\"a\", 256);", 1)]
    [InlineData("var v = Param.Percent(\"a\", -1);", 1)]
    [InlineData("var v = Param.Number(\"a\", 5, 1, 4);", 1)]
    [InlineData("var v = Param.Number(\"a\", 5, 9, 1);", 1)]
    [InlineData("var v = Param.Number(\"a\", double.NaN);", 1)]
    [InlineData("var v = Param.Length(\"a\", \"3\");", 1)]
    [InlineData("var v = Param.Length(\"a\", \"-3mm\");", 1)]
    [InlineData("var v = Param.Area(\"a\", \"3mm\");", 1)]
    [InlineData("var v = Param.Color(\"a\", \"white\");", 1)]
    [InlineData("var v = Param.Box(\"a\", \"1,2\");", 1)]
    [InlineData("var v = Param.Choice(\"a\", []);", 1)]
    [InlineData("var v = Param.Choice(\"a\", [\"x\", \"x\"]);", 1)]
    [InlineData("var v = Param.Choice(\"a\", [\"x\"], \"y\");", 1)]
    [InlineData("string[] w = [\"x\"];\nvar v = Param.Choice(\"a\", w);", 2)]
    [InlineData("string[] w = [\"x\"];\nvar v = Param.Choice(\"a\", [.. w]);", 2)]
    [InlineData("Func<string, bool, string, bool> f = Param.Flag;", 1)]
    public void RefusesWhatCannotBeReadWithoutRunning(string source, int line)
    {
        var problem = Recipe.Compile(source).Reply.Problems.ShouldHaveSingleItem();
        (problem.Code, problem.Line).ShouldBe(("R2005", line));
    }

    [Fact]
    public void RefusesTooManyAndTooLong()
    {
        Recipe.Compile(string.Concat(Enumerable.Range(0, 65).Select(n => $"var p{n} = Param.Flag(\"p{n}\");\n"))).Reply.Problems.ShouldHaveSingleItem().Line.ShouldBe(65);
        Recipe.Compile($"Recipe.Title(\"{new string('x', 2001)}\");").Reply.Problems.ShouldHaveSingleItem().Code.ShouldBe("R2005");
    }
}
