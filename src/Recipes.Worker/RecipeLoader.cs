using System.Diagnostics;
using System.Reflection;
using System.Reflection.Metadata;
using System.Reflection.Metadata.Ecma335;
using System.Runtime.Loader;
using Recipes.Api;
using Recipes.Checking;
using Recipes.Problems;

namespace Recipes.Worker;

/// <summary>Loads a checked recipe and runs it against <see cref="World"/>, without the compiler.</summary>
/// <remarks>
/// The compiler puts a recipe's top level into the class <c>Script</c> of an assembly named <c>Recipe</c>. Its static method
/// <c>&lt;Factory&gt;(object[] submissions)</c> makes the instance, runs the top level on the calling thread and gives a
/// <c>Task&lt;object&gt;</c>, done by then, since recipes can't wait for anything; its result is null. The array has two places:
/// [0] would hold a globals object and stays null, because recipes reach the world through static members; [1] takes the
/// script itself. References lead to the assemblies that the process has loaded already.
/// </remarks>
public static class RecipeLoader
{
    private const int LongestMessage = 1000;

    /// <summary>Runs a recipe to its end; <see cref="World.Begin"/> must have set the stage.</summary>
    /// <param name="recipe">A recipe that passed the metadata check.</param>
    /// <param name="fileName">The recipe's name, for the place where the debug information gives none.</param>
    /// <exception cref="ProblemException">
    /// R4001 with the recipe's line where it threw; R4002 where it declined; R4004 or R4005 where memory or stack ran short.
    /// </exception>
    public static void Run(CheckedRecipe recipe, string fileName)
    {
        ArgumentNullException.ThrowIfNull(recipe);
        using var image = new MemoryStream(recipe.Assembly.ToArray(), writable: false);
        var assembly = new AssemblyLoadContext("recipe").LoadFromStream(image);
        try
        {
            var factory = assembly.GetType(CheckedRecipe.ScriptClass, throwOnError: true)!
                .GetMethod("<Factory>", BindingFlags.Static | BindingFlags.Public | BindingFlags.NonPublic)!
                .CreateDelegate<Func<object?[], Task<object?>>>();
            factory(new object?[2]).GetAwaiter().GetResult();
        }
        // Whatever a recipe throws is the recipe's failure.
#pragma warning disable CA1031
        catch (Exception e)
#pragma warning restore CA1031
        {
            throw new ProblemException(Failure(e, assembly, recipe, fileName), e);
        }
    }

    private static Problem Failure(Exception thrown, Assembly assembly, CheckedRecipe recipe, string fileName)
    {
        var place = PlaceOf(thrown, assembly, recipe) ?? new Place(fileName);
        return thrown switch
        {
            // Mostly the host says what to do: it knows which list the recipe may be part of.
            DeclinedException declined => new Problem(Codes.RecipeDeclined, $"The recipe declined: {MessageOf(thrown)}", declined.Advice, place),
            OutOfMemoryException => new Problem(Codes.OutOfMemory, "The recipe used more memory than it may.", "Work on regions instead of copies, or raise --memory-limit.", place),
            InsufficientExecutionStackException => new Problem(Codes.StackOverflow, "The recipe calls itself too deeply.", "Use a loop instead of recursion.", place),
            _ => new Problem(Codes.RecipeThrew, $"The recipe failed: {thrown.GetType().Name}: {MessageOf(thrown)}", "Mend the recipe at this place.", place),
        };
    }

    // A recipe's own exception may override Message.
    private static string MessageOf(Exception thrown)
    {
        try
        {
            string message = thrown.Message ?? "";
            return message.Length <= LongestMessage ? message : message[..LongestMessage];
        }
#pragma warning disable CA1031
        catch (Exception)
#pragma warning restore CA1031
        {
            return "(no message)";
        }
    }

    // The innermost line of the recipe that was running. Read from the embedded debug information here, because the runtime's
    // own way opens files, which a jailed worker can't.
    private static Place? PlaceOf(Exception thrown, Assembly assembly, CheckedRecipe recipe)
    {
        var frame = new StackTrace(thrown, fNeedFileInfo: false).GetFrames()
            .FirstOrDefault(frame => frame.GetMethod()?.Module.Assembly == assembly);
        return frame?.GetMethod() is { } method
            ? RecipeLines.PlaceOf(recipe.Assembly.Span, (MethodDefinitionHandle)MetadataTokens.EntityHandle(method.MetadataToken), Math.Max(0, frame.GetILOffset()))
            : null;
    }
}
