using System.Diagnostics;
using System.Reflection;
using System.Reflection.Metadata;
using System.Reflection.Metadata.Ecma335;
using System.Runtime.ExceptionServices;
using System.Runtime.Loader;
using Recipes.Api;
using Recipes.Checking;
using Recipes.Problems;
using Recipes.Protocol;

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

    // Wide enough for the deepest recursion that honest recipes need, and the same on every machine.
    private const int StackBytes = 8 * 1024 * 1024;

    /// <summary>Runs a recipe to its end, on a thread of its own; <see cref="World.Begin"/> must have set the stage.</summary>
    /// <param name="recipe">A recipe that passed the metadata check.</param>
    /// <param name="loaded">Called when it is loaded, before any of it runs.</param>
    /// <exception cref="ProblemException">
    /// R4001 with the recipe's line where it threw; R4002 where it declined; R4004 or R4005 where memory or stack ran short.
    /// </exception>
    public static void Run(CheckedRecipe recipe, Action? loaded = null)
    {
        ArgumentNullException.ThrowIfNull(recipe);
        using var image = new MemoryStream(recipe.Assembly.ToArray(), writable: false);
        var assembly = new AssemblyLoadContext("recipe").LoadFromStream(image);
        loaded?.Invoke();
        Ending? ending = null;
        using var ended = new ManualResetEventSlim();
        var thread = new Thread(
            () =>
            {
                ending = RunHere(assembly, early =>
                {
                    ending = early;
                    ended.Set();
                    Thread.Sleep(Timeout.Infinite);
                });
                ended.Set();
            },
            StackBytes)
        { IsBackground = true };
        thread.Start();
        ended.Wait();
        if (ending is { } found)
        {
            throw new ProblemException(Failure(found, assembly, recipe), found.Thrown);
        }
    }

    // What ends a run is seen where it is thrown, before any handler: sorting, for one, wraps whatever a comparison throws into an
    // exception that recipes may catch. The recipe's thread gets no further then.
    private static Ending? RunHere(Assembly assembly, Action<Ending> endAtOnce)
    {
        int thread = Environment.CurrentManagedThreadId;
        bool seen = false;
        void See(object? sender, FirstChanceExceptionEventArgs e)
        {
            if (Environment.CurrentManagedThreadId == thread && !seen && EndsTheRun(e.Exception))
            {
                seen = true;
                endAtOnce(new Ending(e.Exception, FramesHere()));
            }
        }

        AppDomain.CurrentDomain.FirstChanceException += See;
        try
        {
            var factory = assembly.GetType(CheckedRecipe.ScriptClass, throwOnError: true)!
                .GetMethod("<Factory>", BindingFlags.Static | BindingFlags.Public | BindingFlags.NonPublic)!
                .CreateDelegate<Func<object?[], Task<object?>>>();
            factory(new object?[2]).GetAwaiter().GetResult();
            return null;
        }
        // Whatever a recipe throws is the recipe's failure.
#pragma warning disable CA1031
        catch (Exception e)
#pragma warning restore CA1031
        {
            return new Ending(e, new StackTrace(e, fNeedFileInfo: false));
        }
        finally
        {
            AppDomain.CurrentDomain.FirstChanceException -= See;
        }
    }

    // Where memory ran out there may be none for the frames; what ended the run is known without them.
    private static StackTrace? FramesHere()
    {
        try
        {
            return new StackTrace(fNeedFileInfo: false);
        }
        catch (OutOfMemoryException)
        {
            return null;
        }
    }

    private static bool EndsTheRun(Exception thrown) => thrown is DeclinedException or OutOfMemoryException or InsufficientExecutionStackException;

    // What ended a run, and the frames that it came through.
    private sealed record Ending(Exception Thrown, StackTrace? Frames);

    private static Problem Failure(Ending ending, Assembly assembly, CheckedRecipe recipe)
    {
        var thrown = ending.Thrown;
        var place = PlaceOf(ending.Frames, assembly, recipe) ?? new Place(CompileRequest.RecipeFile);
        return thrown switch
        {
            // Mostly the host says what to do: it knows which list the recipe may be part of.
            DeclinedException declined => new Problem(Codes.RecipeDeclined, $"The recipe declined: {MessageOf(thrown)}", declined.Advice, place),
            OutOfMemoryException => new Problem(Codes.OutOfMemory, "The recipe used more memory than it may.",
                "Work on regions instead of copies, or raise --memory-limit.", place),
            InsufficientExecutionStackException => new Problem(Codes.StackOverflow, "The recipe calls itself too deeply.",
                "Use a loop instead of recursion.", place),
            _ => new Problem(Codes.RecipeThrew, $"The recipe failed: {thrown.GetType().Name}: {MessageOf(thrown)}", "Mend the recipe at this place.", place),
        };
    }

    // Some ask a value that the recipe gave them for its text.
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
    private static Place? PlaceOf(StackTrace? frames, Assembly assembly, CheckedRecipe recipe)
    {
        var frame = frames?.GetFrames()
            .FirstOrDefault(frame => frame.GetMethod()?.Module.Assembly == assembly);
        return frame?.GetMethod() is { } method
            ? RecipeLines.PlaceOf(recipe.Assembly.Span, (MethodDefinitionHandle)MetadataTokens.EntityHandle(method.MetadataToken),
                Math.Max(0, frame.GetILOffset()))
            : null;
    }
}
