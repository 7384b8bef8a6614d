/// <reference lib="dom" />
import type { Desk } from './desk.js'
import { checkedDesk } from './deskFile.js'

/** Where the desk is kept in this browser, so that closing the tab loses nothing. */
export interface DeskKeeper {
  readonly load: () => Promise<{ readonly desk: Desk; readonly blobs: ReadonlyMap<string, Blob> } | null>
  readonly save: (desk: Desk, blobs: ReadonlyMap<string, Blob>) => Promise<void>
  /** Forgets everything that is kept. */
  readonly forget: () => Promise<void>
}

const NAME = 'holdwatt-desk'

/** Keeps the desk in the browser's own database; nothing leaves the machine. Where there is none, nothing is kept. */
export function keepDesk(): DeskKeeper {
  const opened = new Promise<IDBDatabase | null>((resolve) => {
    try {
      const request = indexedDB.open(NAME, 1)
      request.onupgradeneeded = () => {
        request.result.createObjectStore('desk')
        request.result.createObjectStore('logs')
      }
      request.onsuccess = () => resolve(request.result)
      request.onerror = () => resolve(null)
    } catch {
      resolve(null)
    }
  })
  const run = async <T>(
    work: (store: (name: string) => IDBObjectStore) => IDBRequest<T>,
  ): Promise<T | null> => {
    const database = await opened
    if (database === null) return null
    return new Promise((resolve, reject) => {
      const transaction = database.transaction(['desk', 'logs'], 'readwrite')
      const request = work((name) => transaction.objectStore(name))
      transaction.oncomplete = () => resolve(request.result)
      transaction.onabort = () => reject(transaction.error)
    })
  }
  return {
    load: async () => {
      const desk = checkedDesk(await run((store) => store('desk').get('now')))
      if (desk === null) return null
      const blobs = new Map<string, Blob>()
      for (const { id } of desk.logs) {
        const blob: unknown = await run((store) => store('logs').get(id))
        if (blob instanceof Blob) blobs.set(id, blob)
      }
      return { desk, blobs }
    },
    save: async (desk, blobs) => {
      await run((store) => {
        const kept = store('logs').getAllKeys()
        kept.onsuccess = () => {
          const wanted = new Set(desk.logs.map(({ id }) => id))
          for (const key of kept.result) if (!wanted.has(String(key))) store('logs').delete(key)
          const there = new Set(kept.result.map(String))
          for (const id of wanted) {
            const blob = blobs.get(id)
            if (blob && !there.has(id)) store('logs').put(blob, id)
          }
        }
        return store('desk').put(desk, 'now')
      })
    },
    forget: async () => {
      await run((store) => {
        store('logs').clear()
        return store('desk').clear()
      })
    },
  }
}
