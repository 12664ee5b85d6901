"""Work that takes longer than an answer may: reading an upload, making the order and the site.

A job is a row. One thread of each server takes due rows one by one and hands them to a process of its own. A
job that a dead process left is tried again, and after three tries it fails and says so.
"""
