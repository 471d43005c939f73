using Recipes.Imaging;

namespace Recipes.Api;

/// <summary>
/// The five names that a recipe sees, imported with <c>using static</c>; nothing else of the world is in reach.
/// One run per process, so they are static: classes and static local functions of a recipe reach them too.
/// </summary>
public static class World
{
    private static RecipeRun? run;

    /// <summary>The art: find regions in it and ask for changes to them.</summary>
    public static ArtCursor Art => Run.Art;

    /// <summary>The garment setup that the art is made ready for.</summary>
    public static GarmentSetup Setup => Run.Setup;

    /// <summary>The parameters; names, types, ranges and defaults are constants, so they are known without running.</summary>
    public static Parameters Param => Run.Parameters;

    /// <summary>What the recipe says about itself.</summary>
    public static Declarations Recipe => Run.Declarations;

    /// <summary>What the recipe tells the technician.</summary>
    public static Reporter Report => Run.Reporter;

    private static RecipeRun Run => run ?? throw new InvalidOperationException("No recipe is running.");

    /// <summary>Sets the stage for one run. For the worker; recipes may not call it.</summary>
    public static void Begin(RecipeRun next) => run = next;
}
